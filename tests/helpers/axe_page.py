"""axe-core on a page of long tables: rows of the same markup are the same to it, and two of each make are looked at."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from chromium import Chromium

# Markup: elements, their classes and which attributes they have; an attribute or a text that is empty stays empty.
TWO_ROWS_OF_EACH_MAKE = r"""(() => {
  const gone = [];
  for (const body of document.querySelectorAll('tbody')) {
    const seen = {};
    for (const row of body.rows) {
      const make = row.outerHTML.replace(/>[^<]+/g, '>text')
        .replace(/(href|id|title|for|aria-label|aria-controls|aria-rowindex|data-[a-z]+)="[^"]+"/g, '$1="is"');
      seen[make] = (seen[make] || 0) + 1;
      if (seen[make] > 2) gone.push(row);
    }
  }
  gone.forEach((row) => row.remove());
  return gone.length;
})()"""
TWICE = """(() => {
  const ids = [...document.querySelectorAll('[id]')].map((element) => element.id);
  return ids.filter((id, at) => ids.indexOf(id) !== at);
})()"""
# The browser tells a mixed colour in a form that axe-core 4.4 does not read, and then no contrast at all is looked at.
PLAIN_COLOURS = r"""(() => {
  const plain = (mixed) => 'rgb(' + mixed.match(/[\d.]+/g).slice(0, 3).map((part) => Math.round(255 * part)) + ')';
  for (const element of document.body.querySelectorAll('*')) {
    for (const name of ['color', 'backgroundColor']) {
      const told = getComputedStyle(element)[name];
      if (told.startsWith('color(srgb') && !told.includes('/')) element.style[name] = plain(told);
    }
  }
})()"""
FOUND = """axe.run({OPTIONS}).then(r => [...r.violations, ...r.incomplete.filter(v => v.error)].map(
  v => [v.id, v.error ? v.error.message || v.message : v.nodes.slice(0, 3).map(n => n.html)]))"""


@contextmanager
def seen(browser: Chromium, scheme: str, width: int) -> Iterator[None]:
    """A window so wide [px], in the light or the dark scheme; light again at the end."""
    browser.size(width, 900)
    browser.scheme(scheme)
    try:
        yield
    finally:
        browser.scheme("light")


def violations(browser: Chromium, script: str, only: str = "") -> list[Any]:
    """What axe-core finds in the page that is open, of which rows are taken away; ids that the whole page has twice.

    `only` is the one rule to look by. A rule that stopped for want of something it understands is told too.
    """
    twice = browser.run(TWICE)
    browser.run(TWO_ROWS_OF_EACH_MAKE)
    browser.run(PLAIN_COLOURS)
    browser.run(script + ";0")
    return browser.run(FOUND.replace("OPTIONS", f"runOnly: ['{only}']" if only else "")) + [
        ["duplicate-id", twice]
    ] * bool(twice)
