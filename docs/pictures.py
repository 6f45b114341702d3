"""Draw the pictures of the README and the docs from the demo plant: `make pictures` runs this.

Terminals become SVG by rich, the page becomes PNG in a headless Chromium, a start is the program's own picture.
`terminals()` gives the SVGs in memory, so that a test can compare them with what lies here.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from unittest import mock

from PIL import Image
from rich.console import Console
from rich.terminal_theme import TerminalTheme
from rich.text import Text

from register.cli import app

HERE = Path(__file__).parent / "pictures"
DAY = "--today 2026-11-25"
# Name → what is typed, columns, the first and the last line shown.
TERMINALS: dict[str, tuple[str, int, int, int]] = {
    "audit": (f"startroll audit {DAY}", 100, 0, 27),
    "explain": (f"startroll explain P-2117 settings/limit-enough-to-start {DAY}", 90, 0, 17),
    "window": ("startroll window P-2117", 90, 0, 24),
}
# Name → width and height of the window, and the part of the page.
PAGES = {"page": (1280, 1150, ""), "page-narrow": (390, 900, "")}
START = "startroll study P-2117 --try current_limit_xfla=2.6 --picture start.svg"
PLAIN = TerminalTheme(
    (255, 255, 255), (34, 34, 34),
    [(34, 34, 34), (176, 0, 32), (0, 110, 60), (138, 90, 0), (0, 85, 160), (120, 40, 140), (0, 105, 115), (90, 90, 90)],
)  # fmt: skip
# No window frame, no letters from elsewhere: the reader's own.
FRAME = """\
<svg viewBox="0 0 {width} {height}" xmlns="http://www.w3.org/2000/svg" role="img" aria-label="@">
<style>
.{unique_id}-matrix {{ font-family: ui-monospace, Consolas, Menlo, monospace; font-size: {char_height}px;
  line-height: {line_height}px; font-variant-east-asian: full-width; }}
{styles}
</style>
<rect width="100%" height="100%" fill="#ffffff"/>
<g transform="translate(12, 12)">{backgrounds}<g class="{unique_id}-matrix">{matrix}</g></g>
</svg>
"""


@contextlib.contextmanager
def terminal(columns: int) -> Iterator[io.StringIO]:
    """A terminal with colours and so many columns, in the place of the output; what it gets is kept."""

    class Screen(io.StringIO):
        def isatty(self) -> bool:
            return True

        def reconfigure(self, **_: object) -> None:
            """It takes every letter already."""

    colours = {"COLUMNS": str(columns), "TERM": "xterm-256color", "COLORTERM": "", "NO_COLOR": ""}
    with mock.patch.dict(os.environ, colours), contextlib.redirect_stdout(Screen()) as screen:
        yield screen


def shown(command: str, columns: int) -> str:
    """What a command prints on such a terminal, with its colours."""
    with terminal(columns) as screen, mock.patch.object(sys, "argv", shlex.split(command)):
        try:
            app.main()
        except SystemExit as ended:
            if ended.code not in (None, 0, 1):
                raise RuntimeError(f"{command} ended with {ended.code}") from None
    return screen.getvalue()


def terminals(names: list[str] | None = None) -> dict[str, str]:
    """Name → SVG of each terminal, of the register that STARTROLL_REGISTER names."""
    made = {}
    for name in names or TERMINALS:
        command, columns, first, last = TERMINALS[name]
        lines = shown(command, columns).strip("\n").split("\n")[first:last]
        made[name] = svg(command, lines, columns)
    return made


def svg(command: str, lines: list[str], columns: int) -> str:
    """A terminal as a picture: the command, then what it printed."""
    console = Console(record=True, width=columns, file=io.StringIO(), force_terminal=True, color_system="truecolor")
    console.print(Text(f"$ {command}", style="bold"))
    for line in lines:
        console.print(Text.from_ansi(line), no_wrap=True, crop=True)
    made = console.export_svg(title="", theme=PLAIN, code_format=FRAME, unique_id="t", font_aspect_ratio=0.6)
    made = re.sub(r' clip-path="[^"]*"|<text [^>]*>\s*</text>|(?<=\d\.\d)\d{6,}', "", made)
    return made.replace('aria-label="@"', f'aria-label="{command}"')


def page_pictures(report: Path) -> None:
    """Screenshots of the page, with few colours, so that they stay small."""
    browser = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if browser is None:
        sys.exit("no Chromium here: apt-get install chromium")
    for name, (width, height, part) in PAGES.items():
        target = HERE / f"{name}.png"
        options = ["--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--virtual-time-budget=4000"]
        taken = [f"--window-size={width},{height}", f"--screenshot={target}", f"{report.resolve().as_uri()}{part}"]
        subprocess.run([browser, *options, *taken], check=True, capture_output=True)
        Image.open(target).convert("RGB").quantize(64, dither=Image.Dither.NONE).save(target, optimize=True)


def main() -> None:
    """Make the demo plant anew in a folder of its own, and every picture from it."""
    HERE.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as name, contextlib.chdir(name):
        shown("startroll demo", 100)
        with mock.patch.dict(os.environ, {"STARTROLL_REGISTER": "demo/demo.db"}):
            for picture, text in terminals().items():
                (HERE / f"{picture}.svg").write_text(text, encoding="utf-8")
            shown(f"startroll report --html report.html {DAY}", 100)
            shown(START, 100)
            shutil.copy("start.svg", HERE / "start.svg")
            page_pictures(Path("report.html"))
    for path in sorted(HERE.iterdir()):
        print(f"{path.name}  {path.stat().st_size // 1024} KB")


if __name__ == "__main__":
    main()
