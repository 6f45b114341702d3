"""The docs as a site: `make site` builds it. Decision 0023 says why so.

The pages are plain Markdown that can be read without the site; only this file knows how they hang together.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

HERE = Path(__file__).parent
project = "startroll"
version = release = tomllib.loads((HERE.parent / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]
copyright = "the authors of startroll, MIT licence"
language = "en"

extensions = ["myst_parser"]
source_suffix = {".md": "markdown"}
myst_heading_anchors = 3
nitpicky = True
smartquotes = False
html_theme = "furo"
html_title = f"startroll {version}"
html_copy_source = False
html_show_sphinx = False
html_theme_options = {"top_of_page_buttons": []}
pygments_style, pygments_dark_style = "a11y-high-contrast-light", "a11y-high-contrast-dark"

# Page → the groups of its navigation: caption, and the pages under it. `*` stands for all of a folder.
CONTENTS: dict[str, dict[str, list[str]]] = {
    "index": {
        "Begin": [
            "How do I … <how-do-i>", "install", "guide/your-list", "A first audit <guide/first-audit>",
            "Questions often asked <questions>",
        ],
        "Work": [
            "guide/answering-in-groups", "guide/day-in-the-plant", "guide/taking-back",
            "The study of a start <guide/start-study>",
            "When a starter fails <guide/when-a-starter-fails>", "Spares and plans <guide/planning-replacements>",
            "The annual review <guide/annual-review>",
            "The year's work <guide/year-s-work>", "Reports <guide/reports>",
            "From one plant to many <guide/many-plants>",
        ],
        "Fit it to your plant": [
            "Rules of your own <guide/writing-rules>", "Keys of a mapping <guide/mapping>",
            "Other tools <guide/other-tools>", "Many plants in SQL <guide/fleet-tables>",
        ],
        "Look up": [
            "commands", "Columns <columns>", "Views <views>", "Tables of many plants <fleet-tables>",
            "Rules <rules/index>", "glossary", "decisions/index",
        ],
    },
    "decisions/index": {"Decisions": ["0*"]},
}  # fmt: skip


def with_contents(app, name: str, text: list[str]) -> None:
    """Give a page its place in the navigation, which Sphinx reads from the page itself."""
    if name.startswith("rules/") and name != "rules/index":
        # 172 rules in the navigation of every page would hide the guides, and take most of the build's time.
        text[0] = f"---\norphan: true\n---\n{text[0].split('## ')[0] if app.tags.has('brief') else text[0]}"
    for caption, pages in CONTENTS.get(name, {}).items():
        lines = "\n".join(pages)
        text[0] += f"\n\n```{{toctree}}\n:hidden:\n:glob:\n:caption: {caption}\n\n{lines}\n```\n"


def setup(app) -> None:
    """Sphinx calls this."""
    app.connect("source-read", with_contents)
