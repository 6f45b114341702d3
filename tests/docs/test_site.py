"""The docs hang together: as a site a broken link or anchor is an error, and nothing comes from elsewhere."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

DOCS = Path(__file__).parents[2] / "docs"
# Of the rule pages, which are alike, only the titles are read, unless more is asked for: they take most of the time.
BRIEF = () if os.environ.get("STARTROLL_EXAMPLES") else ("-t", "brief")


def sphinx(builder, docs, target):
    typed = ["-W", "--keep-going", "-n", "-q", *BRIEF, "-b", builder, "-c", DOCS, "-d", target / "trees", docs, target]
    ran = [sys.executable, "-m", "sphinx", *map(str, typed)]
    return subprocess.run(ran, capture_output=True, text=True, check=False)


@pytest.mark.dear
def test_no_link_and_no_anchor_is_broken(tmp_path):
    ran = sphinx("dummy", DOCS, tmp_path)
    assert ran.stderr == "" and ran.returncode == 0
    assert len(list((tmp_path / "trees").glob("**/*.doctree"))) > 200


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    """A site of one page with three broken links: the same settings, theme and frame as the whole."""
    docs, target = tmp_path_factory.mktemp("docs"), tmp_path_factory.mktemp("site")
    (docs / "index.md").write_text("# A\n\n[b](b.md) [c](#c) [d](d.csv)\n", encoding="utf-8")
    return sphinx("html", docs, target), target


def test_a_broken_link_is_an_error(small):
    ran, _ = small
    assert ran.returncode != 0
    assert set(re.findall(r"target not found: '([^']+)' \[myst", ran.stderr)) == {"b.md", "c", "d.csv"}


def test_the_site_asks_nothing_from_elsewhere(small):
    _, site = small
    html = (site / "index.html").read_text(encoding="utf-8")
    loaded = re.findall(r"<(?:script|link|img|iframe)\b[^>]*?(?:src|href)=\"([^\"]+)\"", html)
    assert len(loaded) > 5
    assert not [address for address in loaded if re.match(r"(\w+:)?//", address)]
    styles = "".join(path.read_text(encoding="utf-8") for path in site.glob("_static/**/*.css"))
    assert "font-family" in styles
    assert not re.findall(r"(?:url\(|@import)\s*[\"']?(?:https?:)?//", styles)
