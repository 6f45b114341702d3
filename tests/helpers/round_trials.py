"""A round's page answered at random in a browser, left, killed, saved and taken back: no answer may be lost."""

from __future__ import annotations

import json
import random
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from browsers import ON_DISK
from round_page import NOW, saved_file
from sqlite_utils import Database

from register.columns import TABLES
from register.reports.round.document import html
from register.rounds.model import Round
from register.rounds.saved_file import SavedRound, read_saved
from register.rounds.take_round import take_round

# As a device that never had the page.
FORGET = """localStorage.clear(); answers.clear(); photos.clear(); gone = 0; shelf.then((db) => new Promise((resolve) => {
  const all = db.transaction("kept", "readwrite"); all.objectStore("kept").clear(); all.oncomplete = () => resolve(1); }))"""
FILL = """((seed) => {
  let state = seed;
  const random = (n) => { state = (state * 1103515245 + 12345) % 2147483648; return Math.floor(state / 65536) % n; };
  const shown = cells.filter((cell) => cell.element && !cell.element.hidden);
  for (let n = 0; n < 12; n++) {
    const cell = shown[random(shown.length)], own = cell.element;
    if (own.hidden) continue;
    const states = own.querySelectorAll('.no button'), choices = own.querySelectorAll('.ch button'), input = own.querySelector('.nu input');
    const kind = random(5);
    if (kind === 0) states[random(states.length)].click();
    else if (choices.length) choices[random(choices.length)].click();
    else { input.value = cell.c.kind === 'd' ? '2025-0' + (1 + random(9)) + '-11' : cell.c.kind === 't' ? 'IP' + random(99) : String(1 + random(400) / 4).replace('.', random(2) ? ',' : '.'); input.dispatchEvent(new Event('input')); }
    if (kind === 4) { own.querySelector('.ex button')?.click(); const note = own.querySelector('textarea'); note.value = 'n' + random(1000) + ' \\u2028ø'; note.dispatchEvent(new Event('input')); }
  }
  return shown.length;
})"""
TABS = "document.querySelectorAll('#tabs button:not([hidden])')"


def plain(answer: Any) -> dict[str, Any]:
    """An answer as the page has it."""
    given = {name: getattr(answer, name) for name in answer.__dataclass_fields__}
    return given | {"photo": answer.photo and {"file": answer.photo.file, "sha256": answer.photo.sha256}}


def taken_back(db: Database, saved: SavedRound) -> Counter[str]:
    """What became of a saved round's answers: each is told, what is taken is there, a second time nothing changes."""
    made = take_round(db, saved, file="round.json", author="desk")
    left = {(r.column, r.row) for r in made.refused} | {(c.column, c.tag) for c in made.conflicts}
    assert made.answers == len(saved.answers)
    assert made.taken + made.same + made.kept + len(made.refused) + len(made.conflicts) == made.answers
    there = 0
    for answer in saved.answers:
        name = TABLES[answer.table].key[0]
        row = db.execute(f"SELECT {answer.column} FROM {answer.table} WHERE {name} = ?", [answer.row]).fetchone()
        if answer.state == "value" and (answer.column, answer.at) not in left and row:
            assert row[0] == answer.value or row[0] == pytest.approx(answer.value), answer
            there += 1
    again = take_round(db, saved, file="round.json", author="desk")
    assert again.taken == 0 and again.change_set is None
    return Counter(answers=made.answers, taken=made.taken, refused=len(made.refused), there=there)


def trial(
    browser: Any,
    page: Path,
    number: int,
    killed: Callable[[], Any],
    register: str,
    db: Database,
    *,
    before_kill: Callable[[Any], object] = lambda browser: browser.run(ON_DISK),
) -> Counter[str]:
    """Answer, reload, answer on, kill, open again, save, take back; AssertionError where an answer is lost.

    The page is of a round of its own: what is kept of another is not looked for. `killed` ends what shows the page and gives what
    shows it next; `before_kill` is waited for: that all is on the disk, unless it says otherwise.
    """
    browser.open(page)
    chosen = random.Random(number)
    answered = _fill(browser, chosen)
    browser.reload()
    assert json.loads(browser.run(NOW)) == answered, f"{number}: lost by a reload"
    answered = _fill(browser, chosen)
    before_kill(browser)
    browser = killed()
    browser.open(page)
    browser.until("looked")  # the disk of a browser that was killed may answer late
    found = json.loads(browser.run(NOW))
    assert found == answered, f"{number}: {len(answered)} answers, {len(found)} left after a kill"
    assert browser.run("unsaved()") > 0
    saved = read_saved(saved_file(browser), register)
    assert [json.loads(json.dumps(plain(a))) for a in saved.answers] == answered, f"{number}: not in the saved file"
    assert browser.run("unsaved()") == 0
    return taken_back(db, saved)


def page_of(made: Round, folder: Path, number: int) -> Path:
    """The page of a round, made a second later than the one before, and so with a store of its own."""
    path = folder / "round.html"
    path.write_text(html(replace(made, made_on=f"{datetime(2026, 11, 25) + timedelta(seconds=number)}+00:00")), "utf-8")
    return path


def _fill(browser: Any, chosen: random.Random) -> list[dict[str, Any]]:
    """Answer a dozen questions of one part; all that is answered then."""
    browser.run(f"{TABS}[{chosen.randrange(browser.run(f'{TABS}.length'))}].click(); 0")
    browser.run(f"{FILL}({chosen.randrange(2**31)})")
    found: list[dict[str, Any]] = json.loads(browser.run(NOW))
    return found
