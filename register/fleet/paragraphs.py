"""One paragraph for each plant: what is worst, what is unknown, what to read first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from register import columns
from register.fleet.model import HARMS, ModelRow, Outlier, Paragraph, Standing
from register.text import counted, number


def paragraphs(
    league: Sequence[Standing], titles: Mapping[str, str], models: Sequence[ModelRow], outliers: Sequence[Outlier]
) -> list[Paragraph]:
    """What is to be said of each plant, in the order of the league."""
    return [
        Paragraph(one.plant.name, " ".join(_sentences(place, len(league), one, titles, models, outliers)))
        for place, one in enumerate(league, 1)
    ]


def _sentences(
    place: int,
    plants: int,
    one: Standing,
    titles: Mapping[str, str],
    models: Sequence[ModelRow],
    outliers: Sequence[Outlier],
) -> list[str]:
    plant = one.plant
    said = [f"Place {place} of {plants}, {counted(plant.positions, 'position')}."]
    majors = sum(one.majors.values())
    harms = [f"{one.majors[harm]} of harm to {harm}" for harm in HARMS[:2] if one.majors[harm]]
    told = f" ({', '.join(harms)})" if harms else ""
    said.append(f"{counted(majors, 'major')} failed{told}: {_short(one.majors_per_100)} for 100 positions.")
    if one.known_pct is None:
        said.append("No verdict is known here, so that nothing can be said of how it stands.")
    else:
        little = ", so that its place says little" if one.little_known else ""
        said.append(f"{_pct(one.known_pct)} of what applies is known{little}.")
    if one.worst_rules:
        worst = "; ".join(f"{titles.get(rule, rule)} ({n})" for rule, n in one.worst_rules)
        said.append(f"Most often: {worst}.")
    if one.to_read:
        fields = ", ".join(f"{columns.column(name).sentence} ({n})" for name, n in one.to_read)
        said.append(f"To read first, with the verdicts that wait for it: {fields}.")
    gone = [m for m in models if m.lifecycle == "withdrawn" and m.cells[place - 1][0]]
    if gone:
        bare = sum(m.cells[place - 1][2] == 0 for m in gone)
        positions = sum(m.cells[place - 1][0] for m in gone)
        said.append(f"{counted(positions, 'position')} on withdrawn models; of {bare} of {len(gone)} none is in store.")
    own = [o for o in outliers if o.plant == plant.name]
    if own:
        said.append(f"{counted(len(own), 'setting')} of a model unlike that of every other plant.")
    return said


def _short(value: float) -> str:
    return number(float(f"{value:.2g}"))


def _pct(value: float) -> str:
    return f"{value:.0f} %" if value >= 1 or value == 0 else "under 1 %"
