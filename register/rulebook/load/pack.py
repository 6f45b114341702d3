"""A folder of rules and limits into a pack, or one error with all that is wrong in it."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from register.errors import Problem, RuleError
from register.resources import rules_folder
from register.rulebook.load import pack_cache
from register.rulebook.load.files import files_in, hash_of, shown
from register.rulebook.model import Pack, Rule


def load_pack(folder: Path | None = None, site_folder: Path | None = None) -> Pack:
    """The rules and limits of a folder, and those that a site adds or overrides.

    Parameters
    ----------
    folder : a folder with pack.yml, limits.yml and <theme>/<rule>.yml; by default the program's.
    site_folder : a site's own folder: limits.yml with overrides, rules of its own, which are on
        trial, and taken-in.yml with a dated line for each rule that has left its trial.

    Errors: RuleError with every problem of every file.
    """
    folder = rules_folder() if folder is None else Path(folder)
    site_folder = None if site_folder is None else Path(site_folder)
    try:
        known = hash_of(files_in(folder, site_folder))
    except OSError:
        known = ""  # reading them one by one says which file cannot be read
    return _read(folder, site_folder, known, _names(folder, site_folder))


def _names(*folders: Path | None) -> tuple[str, ...]:
    """Everything that lies in the folders, as named in them: a file that is no rule may be a misplaced one."""
    found = []
    for number, folder in enumerate(folders):
        if folder:
            found += [f"{number}{str(path)[len(str(folder)) :]}" for path in folder.rglob("*")]
    return tuple(sorted(found))


@lru_cache(maxsize=8)
def _read(folder: Path, site_folder: Path | None, known: str, names: tuple[str, ...]) -> Pack:
    """The pack of these folders; read once as long as nothing in them changes. Errors are not kept."""
    kept = pack_cache.read(folder, site_folder, known, names)
    if kept is not None:
        return kept
    from register.rulebook.load.reading import Reading

    reading = Reading()
    name, version, sentence = reading.head(folder)
    reading.folder(folder, required=("limits.yml",))
    if site_folder is not None:
        reading.site(site_folder)
    reading.stop_if_wrong()
    pack = Pack(
        name=name,
        version=version,
        sentence=sentence,
        rules=tuple(sorted(reading.rules.values(), key=lambda rule: rule.id)),
        limits=reading.limits,
        overrides=tuple(reading.overrides),
        hash=known or hash_of(files_in(folder, site_folder)),
        folder=folder,
        site_folder=site_folder,
        taken_in=reading.taken_in,
        own_limits=frozenset(reading.own_limits),
    )
    pack_cache.write(pack, known, names)
    return pack


def load_rule(path: Path, pack: Pack) -> Rule:
    """One rule from a file beside a pack, whose limits it may name, on trial.

    Errors: RuleError with every problem of the file.
    """
    from register.rulebook.load.misplaced_files import rule_file_meant
    from register.rulebook.load.reading import Reading

    instead = rule_file_meant(path)
    if instead:
        raise RuleError(Problem(*instead, shown(path)))
    reading = Reading()
    reading.limits = dict(pack.limits)
    reading.rule(f"{path.resolve().parent.name}/{path.stem}", path, trial=True)
    reading.stop_if_wrong()
    (rule,) = reading.rules.values()
    return rule
