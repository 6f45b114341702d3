"""The program's own rules read, and their examples run, once for many folders of rules that are on trial beside them."""

from __future__ import annotations

import copy
import functools

from register.resources import rules_folder
from register.rulebook.load.reading import Reading
from register.rulebook.proofs import failed_examples

KEPT = ("rules", "met", "limits", "own_limits", "overrides", "problems", "files", "files_read")


def warm_rules(patch) -> None:
    """Patch the reading of rules; the limits in force must be the program's own."""
    read, told = Reading.folder, failed_examples.wrong_of

    @functools.cache
    def own() -> dict:
        reading = Reading()
        read(reading, rules_folder(), required=("limits.yml",))
        return {name: getattr(reading, name) for name in KEPT}

    def folder(reading, where, *, required, trial=False):
        if trial or where != rules_folder():
            return read(reading, where, required=required, trial=trial)
        for name, value in own().items():
            setattr(reading, name, copy.copy(value))

    examples: dict = {}

    def wrong_of(rule, pack):
        if rule.trial:
            return told(rule, pack)
        if rule.id not in examples:
            examples[rule.id] = told(rule, pack)
        return examples[rule.id]

    patch.setattr(Reading, "folder", folder)
    patch.setattr(failed_examples, "wrong_of", wrong_of)
