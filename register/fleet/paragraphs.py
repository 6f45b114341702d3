"""One paragraph for each plant: what is worst, what is unknown, what to read first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from register import columns
from register.fleet.model import HARMS, ModelRow, Outlier, Paragraph, Standing, places
from register.text import counted, percent, two_digits


def paragraphs(
    league: Sequence[Standing], titles: Mapping[str, str], models: Sequence[ModelRow], outliers: Sequence[Outlier]
) -> list[Paragraph]:
    """What is to be said of each plant, in the order of the league."""
    place = places(league)
    placed = len(league) - place.count(None)
    stands = ["Without a place" if own is None else f"Place {own} of {placed}" for own in place]
    return [
        Paragraph(one.plant.name, " ".join(_sentences(row, stands[row], one, titles, models, outliers)))
        for row, one in enumerate(league)
    ]


def _sentences(
    row: int,
    stands: str,
    one: Standing,
    titles: Mapping[str, str],
    models: Sequence[ModelRow],
    outliers: Sequence[Outlier],
) -> list[str]:
    plant = one.plant
    said = [f"{stands}, {counted(plant.positions, 'position')}."]
    majors = sum(one.majors.values())
    harms = [f"{one.majors[harm]} of harm to {harm}" for harm in HARMS[:2] if one.majors[harm]]
    told = f" ({', '.join(harms)})" if harms else ""
    said.append(f"{counted(majors, 'major')} failed{told}: {two_digits(one.majors_per_100)} for 100 positions.")
    if one.known_pct is None:
        said.append("No verdict is known here, so that nothing can be said of how it stands.")
    else:
        little = ": too little for a place in the league" if one.little_known else ""
        said.append(f"{percent(one.known_pct)} of what applies is known{little}.")
    if one.worst_rules:
        worst = "; ".join(f"{titles.get(rule, rule)} ({n})" for rule, n in one.worst_rules)
        said.append(f"Most often: {worst}.")
    if one.to_read:
        fields = ", ".join(f"{columns.column(name).sentence} ({n})" for name, n in one.to_read)
        said.append(f"To read first, with the verdicts that wait for it: {fields}.")
    gone = [m for m in models if m.lifecycle == "withdrawn" and m.cells[row][0]]
    if gone:
        bare = sum(m.cells[row][2] == 0 for m in gone)
        positions = sum(m.cells[row][0] for m in gone)
        said.append(
            f"{counted(positions, 'position')} on {counted(len(gone), 'withdrawn model')}{_held(bare, len(gone))}."
        )
    own = [o for o in outliers if o.plant == plant.name]
    if own:
        said.append(f"{counted(len(own), 'setting')} unlike those of every other plant that has the model.")
    return said


def _held(bare: int, models: int) -> str:
    """How many of a plant's withdrawn models it has no device of in store."""
    if models == 1:
        return f", and {'none' if bare else 'one or more'} in store here"
    if not bare:
        return ", each with a device in store here"
    return f"; {bare} of these models {'has' if bare == 1 else 'have'} no device in store here"
