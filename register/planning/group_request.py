"""What a group's answer asks for: values for columns where a filter is true, and the positions that are excepted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from register.errors import Problem, StartrollError
from register.planning.group_filter import EVERYWHERE


@dataclass(frozen=True)
class GroupAnswer:
    """Values by column, as a person writes them, for every position where a filter is true.

    `excepted` positions, by tag, get the values given there instead; where none is given they are left alone.
    """

    values: Mapping[str, str]
    where: str = EVERYWHERE
    area: str | None = None
    overwrite: bool = False
    excepted: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    def value_at(self, tag: str, column: str) -> str | None:
        """The value that a column gets at a position; None where it is left alone."""
        other = self.excepted.get(tag)
        if other is None:
            return self.values[column]
        return other.get(column, self.values[column]) if other else None

    @property
    def told(self) -> str:
        """The answer in one line: `inching = no, except C-1108 (yes), where …`."""
        values = ", ".join(f"{name} = {value}" for name, value in self.values.items())
        others = ", ".join(f"{tag}{_in_brackets(own, self.values)}" for tag, own in self.excepted.items())
        return values + (f", except {others}," if others else "") + f" where {self.where}"


def asked(
    words: Iterable[str], where: str | None, area: str | None, *, overwrite: bool, excepted: Iterable[str] = ()
) -> GroupAnswer:
    """The answer as it was typed; an empty filter is a mistake to be told, and not every position.

    Parameters
    ----------
    words : a column and its value, or any number of COLUMN=VALUE.
    excepted : each a TAG to leave alone, TAG=VALUE, or TAG:COLUMN=VALUE where there are several columns.

    Errors: StartrollError with what is wrong in any of them.
    """
    values = _values(list(words))
    others: dict[str, dict[str, str]] = {}
    for text in excepted:
        tag, column, value = _excepted(text, values)
        own = others.setdefault(tag, {})
        if value:
            own[column] = value
    return GroupAnswer(values, EVERYWHERE if where is None else where, area, overwrite, others)


def _values(words: list[str]) -> dict[str, str]:
    if len(words) == 2 and "=" not in words[0]:
        return {words[0]: words[1]}
    values: dict[str, str] = {}
    for word in words:
        column, sign, value = (part.strip() for part in word.partition("="))
        if not (column and sign and value):
            cause = f"{word!r} is not COLUMN=VALUE"
            raise StartrollError(Problem(cause, "startroll answer COLUMN VALUE …, or COLUMN=VALUE for each column"))
        if column in values:
            raise StartrollError(Problem(f"{column} stands here twice", "give each column one value", column))
        values[column] = value
    return values


def _excepted(text: str, values: Mapping[str, str]) -> tuple[str, str, str]:
    left, sign, value = (part.strip() for part in text.partition("="))
    tag, colon, column = (part.strip() for part in left.rpartition(":"))
    if not colon or column not in values:
        tag, column = left, next(iter(values)) if len(values) == 1 else ""
    if not tag or (sign and not (value and column)):
        known = " or ".join(f"TAG:{name}=VALUE" for name in values) if len(values) > 1 else "TAG=VALUE"
        raise StartrollError(
            Problem(f"{text!r} names no exception", f"write TAG to leave it alone, or {known}", "--except")
        )
    return tag, column, value


def _in_brackets(own: Mapping[str, str], values: Mapping[str, str]) -> str:
    if not own:
        return ""
    return " (" + ", ".join(v if len(values) == 1 else f"{name} = {v}" for name, v in own.items()) + ")"
