"""Where a rule, a limit, an assumed value or a table comes from, and how its clause was seen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import yaml

# How a clause was seen, the surest first, and what each word means to a reader.
SEEN = {
    "text": "the standard's own text",
    "commentary": "commentary",
    "handbook": "handbook or maker's manual",
    "arithmetic": "arithmetic",
    "common practice": "common practice",
    "memory": "from memory",
}
NOT_STATED = "not stated"
KEYS = ("clause", "seen", "where")
Blame = Callable[["yaml.Node", str, str], None]


@dataclass(frozen=True, slots=True)
class Source:
    """One clause, how it was seen, and where.

    >>> str(Source("NFPA 70-2023, 110.9", "commentary", "a letter of 2023"))
    'NFPA 70-2023, 110.9 (commentary: a letter of 2023)'
    >>> str(Source("a tenth", "common practice")), str(Source("common practice", "common practice"))
    ('common practice: a tenth', 'common practice')
    """

    clause: str
    seen: str = NOT_STATED
    where: str = ""

    @property
    def to_verify(self) -> bool:
        """True where nobody has seen the clause, or has said so: it is read before anything is signed."""
        return self.seen in ("memory", NOT_STATED)

    def __str__(self) -> str:
        if self.seen in ("common practice", "arithmetic"):
            return self.clause if self.clause == self.seen else f"{self.seen}: {self.clause}"
        how = [SEEN[self.seen]] if self.seen in SEEN else []
        told = ": ".join([*how, self.where] if self.where else how)
        return f"{self.clause} ({told})" if told else self.clause


def plain(text: str) -> Source:
    """The source of a text that says no more: as rules of before have it.

    >>> plain("common practice").seen, plain("IEC 60529 (from memory)").seen, plain("IEC 60529").seen
    ('common practice', 'memory', 'not stated')
    """
    if text.startswith("common practice"):
        return Source(text.removeprefix("common practice").lstrip(",;: ") or text, "common practice")
    return Source(text.replace(" (from memory)", ""), "memory" if "from memory" in text else NOT_STATED)


def read(node: yaml.Node | None, blame: Blame) -> Source:
    """The source in a YAML node, `{clause: …, seen: …, where: …}` or a plain text; what is wrong is blamed."""
    import yaml  # what reads no YAML need not wait for it

    if isinstance(node, yaml.ScalarNode) and node.tag.endswith(":str") and node.value.strip():
        return plain(node.value.strip())
    if not isinstance(node, yaml.MappingNode):
        if node is not None:
            blame(node, "this says no source", "write {clause: …, seen: …, where: …}")
        return Source("")
    told: dict[str, str] = {}
    for key, value in node.value:
        if key.value not in KEYS:
            blame(key, f"unknown key {key.value!r}", f"one of {', '.join(KEYS)}")
        elif key.value in told:
            blame(key, f"the key {key.value!r} stands here twice", "keep one of them")
        elif not isinstance(value, yaml.ScalarNode) or not value.value.strip():
            blame(value, f"{key.value} is a text", f'put it in quotes: {key.value}: "…"')
        else:
            told[key.value] = value.value.strip()
            if key.value == "seen" and told["seen"] not in SEEN:
                blame(value, f"{told['seen']!r} is no way of seeing a clause", f"one of {', '.join(SEEN)}")
    told.setdefault("clause", told.get("seen", "") if told.get("seen") in ("common practice", "arithmetic") else "")
    if not told["clause"] or "seen" not in told:
        missing = "clause" if not told["clause"] else "seen"
        blame(node, f"the source does not say {missing}", f"add {missing}: …")
    return Source(**told)
