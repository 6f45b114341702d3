"""A console on which text of the register can steer nothing."""

from __future__ import annotations

from typing import Any, TextIO

from rich.console import Console, ConsoleOptions, ConsoleRenderable, RenderHook, RenderResult
from rich.segment import Segment

from register.text import visible


class Trimmed:
    """A stream that gets every line without the blanks at its end."""

    def __init__(self, stream: TextIO) -> None:
        self.stream = stream

    def write(self, text: str) -> int:
        """Write whole lines without their last blanks."""
        self.stream.write("\n".join(line.rstrip(" ") for line in text.split("\n")))
        return len(text)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.stream, name)


def harmless(console: Console) -> Console:
    """The same console, on which control characters are seen and not obeyed."""
    console.push_render_hook(_Hook())
    return console


class _Hook(RenderHook):
    def process_renderables(self, renderables: list[ConsoleRenderable]) -> list[ConsoleRenderable]:
        return [_Seen(renderable) for renderable in renderables]


class _Seen:
    def __init__(self, inner: ConsoleRenderable) -> None:
        self.inner = inner

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        yield from map(_seen, console.render(self.inner, options))


def _seen(segment: Segment) -> Segment:
    # What rich itself steers with is marked as such.
    return segment if segment.control else Segment(visible(segment.text), segment.style)
