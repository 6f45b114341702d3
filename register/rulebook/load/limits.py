"""The limits that rules compare with, and the site's overrides."""

from __future__ import annotations

import re
from collections.abc import Mapping

import yaml

from register.columns import source
from register.rulebook.check.units import ANY
from register.rulebook.load.document import Document, nearest
from register.rulebook.model import TODAY, Limit, Override

LAYERS = ("site", "area", "position")


def read_limits(document: Document, known: Mapping[str, Limit]) -> tuple[dict[str, Limit], tuple]:
    """The limits that a file declares, and its overrides of these or of `known` ones."""
    limits: dict[str, Limit] = {}
    overrides: yaml.Node | None = None
    for key, value in document.pairs(document.root) if document.root else []:
        name = key.value
        if name == "overrides":
            overrides = value
        elif name in known:
            document.blame(
                key, f"the limit {name!r} is declared by the pack already", "give its value under overrides:"
            )
        elif not re.fullmatch(r"[a-z][a-z0-9_]*", name) or name == TODAY:
            document.blame(key, f"{name!r} can't be the name of a limit", "use small letters, digits and _")
        else:
            limits[name] = _limit(document, name, value)
    everything = {**known, **limits}
    nodes = document.items(overrides)
    laid = [_override(document, node, everything) for node in nodes]
    return limits, _without_doubles(document, [o for o in laid if o], nodes)


def limits_named(document: Document, known: Mapping[str, Limit]) -> dict[str, Limit]:
    """The limits that a file means to declare, where it can't be taken as it is.

    With them the rules can be checked for what is wrong in them, and for nothing else.
    """
    names = re.findall(r"^([a-z][a-z0-9_]*):", document.text, re.MULTILINE)
    return {name: Limit(name, 0.0, ANY, "", source.Source("")) for name in names if name not in known}


def _limit(document: Document, name: str, node: yaml.Node) -> Limit:
    fields = document.fields(node, ("value", "unit", "sentence", "basis"))
    unit = fields.get("unit")
    # An empty unit is that of a ratio, so it is not a missing text.
    unitless = isinstance(unit, yaml.ScalarNode) and unit.style and not unit.value
    return Limit(
        name=name,
        value=document.number(fields.get("value")) or 0.0,
        unit="" if unitless else document.words(unit),
        sentence=document.words(fields.get("sentence")),
        basis=source.read(fields.get("basis"), document.blame),
    )


def _override(document: Document, node: yaml.Node, known: Mapping[str, Limit]) -> Override | None:
    before = len(document.problems)
    fields = document.fields(node, ("limit", "value", "reason", "by", "on"), LAYERS)
    name = document.words(fields.get("limit"))
    if name and name not in known:
        document.blame(fields["limit"], f"there is no limit {name!r}", nearest(name, known))
    layers = [layer for layer in LAYERS if layer in fields]
    if len(layers) != 1:
        document.blame(
            node,
            "an override is for one of: site, area, position",
            "say site: true, or area: <name>, or position: <tag>",
        )
        return None
    layer = layers[0]
    at = ""
    if layer != "site":
        at = document.words(fields[layer])
    elif fields["site"].value != "true":
        document.blame(fields["site"], "this override is for nowhere", "say site: true")
    value = document.number(fields.get("value"))
    reason, by = document.words(fields.get("reason")), document.words(fields.get("by"))
    on = document.day(fields.get("on"))
    if len(document.problems) > before:
        return None
    return Override(name, layer, at, value, reason, by, on)


def _without_doubles(document: Document, laid: list[Override], nodes: list) -> tuple:
    seen: set[tuple] = set()
    for override in laid:
        key = (override.limit, override.layer, override.at)
        if key in seen:
            where = f"{override.layer} {override.at}".strip()
            document.blame(nodes[0], f"two overrides of {override.limit!r} at one place ({where})", "keep one of them")
        seen.add(key)
    return tuple(laid)
