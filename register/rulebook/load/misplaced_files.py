"""Files and folders that are not where, or what, they should be, and where they are meant to be."""

from __future__ import annotations

import re
from collections.abc import Collection
from difflib import get_close_matches
from pathlib import Path

from register.rulebook.load.files import shown

Told = tuple[str, str]

MOST_FOLDER_MB = 5  # nine times the rules that come with the program
NO_FOLDER = ("there is no such folder", "name a folder of rules")
# What an editor puts behind the name without showing it.
_HIDDEN_ENDING = re.compile(r"(.+)\.ya?ml\.(txt|rtf|docx?|odt)", re.IGNORECASE)


def folder_meant(folder: Path) -> Told | None:
    """What is wrong with a site's folder that is a file, one of its themes, or far too much to be rules."""
    if folder.is_file():
        levels = 2 if _is_rule(folder) else 1
        return ("this is a file", f"name the folder: {_above(folder, levels)}")
    if not folder.is_dir():
        return None
    whole_mb = sum(path.stat().st_size for path in folder.rglob("*.y*ml*") if path.is_file()) / 1e6
    if whole_mb > MOST_FOLDER_MB:
        told = f"its files of rules have {whole_mb:.3g} MB; up to {MOST_FOLDER_MB} MB are read"
        return (told, "name the folder that holds the site's own rules, and nothing else")
    rules = list(folder.glob("*.yml"))
    deeper = any(folder.glob("*/*.yml"))
    if rules and not deeper and all(_is_rule(path) for path in rules):
        return ("this is the folder of one theme", f"name the one above: {_above(folder, 1)}")
    return None


def _above(path: Path, levels: int) -> str:
    return shown(path.resolve().parents[levels - 1])


def _is_rule(path: Path) -> bool:
    try:
        return bool(re.search(r"^requires:", path.read_text(encoding="utf-8"), re.MULTILINE))
    except (OSError, UnicodeDecodeError):
        return False


def file_meant(folder: Path, relative: Path, own: Collection[str]) -> Told | None:
    """What is wrong with the name or the place of a file; None where nothing is."""
    hidden = _HIDDEN_ENDING.fullmatch(relative.name)
    if hidden:
        return ("this file is not read", f"call it {hidden[1]}.yml, without .{hidden[2]} behind")
    if relative.suffix == ".yaml":
        return ("a rule's file ends in .yml", f"call it {relative.stem}.yml")
    if relative.suffix != ".yml":
        return None
    if len(relative.parts) == 2:
        if relative.name in own:
            return (
                f"{relative.name} lies beside the theme folders, not in one",
                f"move it to {shown(folder / relative.name)}",
            )
        return None
    top = len(relative.parts) == 1
    near = get_close_matches(relative.name, own, n=1, cutoff=0.7) if top else ()
    hint = f"did you mean {near[0]}? otherwise " if near else ""
    return ("a rule lies in a theme's folder", f"{hint}move it to <theme>/<rule>.yml")


def rule_file_meant(path: Path) -> Told | None:
    """What is wrong with a path that should be one rule's file."""
    if path.is_dir():
        first = next(iter(sorted(path.rglob("*.yml"))), path / "<theme>" / "<rule>.yml")
        return ("this is a folder", f"name one rule's file, such as {shown(first)}")
    if not path.exists() and path.suffix != ".yml":
        return ("there is no such file", "name the rule's file: <folder>/<theme>/<rule>.yml")
    return None
