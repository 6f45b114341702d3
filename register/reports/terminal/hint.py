"""What to type next: whole, so that it works when it is pasted."""

from __future__ import annotations

import shlex
from collections.abc import Callable
from contextvars import ContextVar
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.text import Text

# From the words of a command to the options it needs too: the register, the day. The command line says.
GIVEN: ContextVar[Callable[[tuple[str, ...]], list[str]]] = ContextVar("GIVEN", default=lambda words: [])


def command(*words: str) -> str:
    """A command as it is typed, with the register and the day that were given.

    >>> command("explain", "P 1", "overload/present")
    "startroll explain 'P 1' overload/present"
    """
    return shlex.join(["startroll", *words, *GIVEN.get()(words)])


def follow(*words: str, label: str = "Next") -> Text:
    """A line that names the next command; it is never folded."""
    from rich.text import Text  # the command line sets GIVEN before it needs any of this

    return Text(f"{label}: {command(*words)}", no_wrap=True, overflow="ignore")
