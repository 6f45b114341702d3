"""What was typed and what it means for the next command: the register and the day go with every hint."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable, Sequence
from typing import Any

# Option → its other spelling; all but the last take a value.
CARRIED = {"--register": "-r", "--site-rules": "", "--today": "", "--measured-only": ""}


def carried(typed: Sequence[str]) -> dict[str, list[str]]:
    """The options that go with the next command too, as they were typed.

    >>> carried(["audit", "-r", "a b.db", "--today=2026-11-25", "--all"])
    {'--register': ['--register', 'a b.db'], '--today': ['--today', '2026-11-25']}
    """
    found: dict[str, list[str]] = {}
    for place, word in enumerate(typed):
        name, equals, value = word.partition("=")
        for option, short in CARRIED.items():
            if word == "--measured-only" == option:
                found[option] = [option]
            elif name == option and equals:
                found[option] = [option, value]
            elif word in (option, short) and word and place + 1 < len(typed):
                found[option] = [option, typed[place + 1]]
    return found


def given(root: Any, typed: Sequence[str]) -> Callable[[tuple[str, ...]], list[str]]:
    """For the words of a command, those of the typed options that it takes."""
    options = carried(typed)

    def of(words: tuple[str, ...]) -> list[str]:
        command = _named(root, words)
        takes = {name for parameter in getattr(command, "params", ()) for name in parameter.opts}
        return [word for option, own in options.items() if option in takes and option not in words for word in own]

    return of


def _named(root: Any, words: Sequence[str]) -> Any:
    command = root
    for word in words:
        inner = getattr(command, "commands", {}).get(word)
        if inner is None:
            break
        command = inner
    return command


# What follows a command in a sentence and is still of it: an option, a tag, a number, a rule, a column.
ARGUMENT = r"(?: (?:--[a-z-]+|[A-Z][\w-]*|\d+|'[^']*'|[\w-]+/[\w-]+|[a-z]+(?:_[a-z]+)+)(?![\w/-]))*"


def completed(text: str, root: Any, of: Callable[[tuple[str, ...]], list[str]]) -> str:
    """The same text, in which each command that it names has the options that go with it."""

    def whole(found: re.Match[str]) -> str:
        path, arguments = found[1], found[2]
        words = tuple(path.split())
        inner = _named(root, words)
        if inner is root:
            return found[0]
        if len(words) > 1 and inner is _named(root, words[:1]):
            own = shlex.join(of(words[:1]))
            return f"startroll {words[0]} {own} {words[1]}{arguments}" if own else found[0]
        options = shlex.join(of(words))
        return f"startroll {path}{arguments} {options}" if options else found[0]

    return re.sub(rf"\bstartroll ([a-z-]+(?: (?!or\b)[a-z]+)?)({ARGUMENT})", whole, text)
