"""The files of kept rules in the form of this version: what was named otherwise then, under its name of now."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping

import yaml

from register.columns.renamed import VALUES, rule_now
from register.resources import rules_folder

LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)  # the C reader is eight times as quick
RULE = re.compile(r"(pack|site)/([^/]+/[^/]+)\.yml")


def present_form(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return the same rules with the ids, words and keys of this version; what they judge is unchanged.

    The calculations are this version's: a table that they ask for and that was not there then is this version's too.
    """
    made = {f"pack/tables/{table.name}": table.read_bytes() for table in (rules_folder() / "tables").glob("*.csv")}
    for path, data in files.items():
        rule = RULE.fullmatch(path)
        if rule and rule[2].split("/")[0] != "tables":
            path = f"{rule[1]}/{rule_now(rule[2])}.yml"
            data = _present_rule(data)
        made[path] = data
    return made


def _present_rule(data: bytes) -> bytes:
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        return data  # the loader says what is wrong with it, as with what is no YAML
    for words in VALUES.values():
        for old, new in words.items():
            text = re.sub(rf"(?<=['\" ]){re.escape(old)}(?=['\",}}])", new, text)
    if not re.search(r"^title_failed:", text, re.MULTILINE):
        text = _with_failed_title(text)
    return text.encode("utf-8")


def _with_failed_title(text: str) -> str:
    try:
        title = (yaml.load(text, Loader=LOADER) or {}).get("title")
    except (yaml.YAMLError, AttributeError):
        title = None
    if not title:
        return text
    return f"{text.rstrip()}\ntitle_failed: {json.dumps(f'Not met: {title}', ensure_ascii=False)}\n"
