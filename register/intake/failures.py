"""Failures and work orders: a failure mode proposed from the text of each, and which orders are no failures.

The letters are those of ISO 14224:2016, table B.6, for electric motors (from memory); which words stand for which is
common practice. What is proposed is asked about, and never taken in silence.
"""

from __future__ import annotations

from collections import Counter
from functools import cache

from register.columns import COLUMNS
from register.columns.languages import bare, lines
from register.intake.cells import Cell, Read, as_text
from register.intake.headings import KEPT
from register.intake.mapping import SheetAnswers, quoted_flow
from register.intake.taken import Taken

# Stems of bare words, the more telling first: a motor that tripped hot overheated; one that will not start failed to.
MODES = """
OHE: overheat, hot, heiss, uberhitz, temperatur, surchauff, chauff, sobrecalent, recalent, surriscald, aqueci
OHE: superaquec, oververhit, heet
VIB: vibrat, vibrier, schwing, vibraz, vibrac, trill, unwucht, balourd, desequilib
NOI: nois, gerausch, larm, bruit, bruyant, ruid, rumor, geluid, lawaai, squeal, grind
FTS: wont start, will not start, not start, fail to start, failed to start, startet nicht, lauft nicht an, no start
FTS: ne demarre pas, no arranca, non parte, nao parte, start niet
STP: wont stop, will not stop, not stop, stoppt nicht, ne s arrete pas, no para, non si ferma, nao para, stopt niet
UST: trip, ausgelost, ausgel, declench, disparo, disparado, scatt, desarm, uitgeschakeld, afgeschakeld, shutdown
ELU: leak, undicht, leckt, fuite, fuga, perdit, vazament, lekkage
LOO: low output, bajo rendimiento, schwach, faible
BRD: burn, seiz, broke, short circuit, short to, winding, grill, brul, quem, bruciat, bloccat, blockiert, defekt
BRD: gebrochen, verbrannt, wicklung, rott, casse, rotura, verbrand, kapot, gebroken, grippe, agarrotad, travad
BRD: bearing, lager, cuscinet, roulement, rodamient, rolament, fail
PDE: drift, parameter
"""
ROUTINE = """
routine: inspection, preventive, lubricat, greas, pm, round, calibration, wartung, inspektion
routine: schmier, prufung, preventif, graissage, visite, engrase, preventiv, lubrific, ispezion
routine: inspec, onderhoud, smering, keuring, survey, scheduled
"""


@cache
def _modes_by_words() -> list[tuple[str, list[str]]]:
    return lines(MODES)


def proposed(text: str) -> str | None:
    """The failure mode that a text speaks of; None where it says none.

    >>> proposed("Motor überhitzt, Auslösung"), proposed("cuscinetto rumoroso"), proposed("painted")
    ('OHE', 'NOI', None)
    """
    words = bare(text).split()
    line = f" {' '.join(words)} "
    for mode, stems in _modes_by_words():
        for stem in stems:
            if f" {stem} " in line if " " in stem else any(word.startswith(stem) for word in words):
                return mode
    return None


def look(taken: Taken, answers: SheetAnswers) -> None:
    """Leave out the orders that are no failures, and propose modes for the others."""
    if "happened_on" not in taken.reads:
        return
    _routine(taken, answers)
    _modes(taken, answers)


def _texts(taken: Taken, name: str) -> list[str]:
    read = taken.reads.get(name)
    return [str(v) if v is not None else "" for v in read.values] if read else [""] * len(taken.body.rows)


def _modes(taken: Taken, answers: SheetAnswers) -> None:
    causes = _texts(taken, "cause")
    mode = taken.reads.get("failure_mode")
    rows = [i for i, text in enumerate(causes) if text and (mode is None or mode.values[i] is None)]
    found = {i: p for i in rows if i not in taken.rows_aside and (p := proposed(causes[i]))}
    if not found or answers.failure_modes == "leave blank":
        return
    if answers.failure_modes:
        if mode is None:
            mode = taken.reads["failure_mode"] = Read(COLUMNS["failure_mode"], [None] * len(causes))
            taken.letters["failure_mode"] = taken.letters["cause"]
        for i, letters in found.items():
            if i not in mode.special:
                mode.values[i], mode.special[i] = letters, Cell(letters, f"proposed from {causes[i]!r}", "")
        return
    counts = Counter(found.values())
    example = {m: next(causes[i] for i in found if found[i] == m) for m in counts}
    shown = ", ".join(f"{m} × {n} ({example[m]!r})" for m, n in counts.most_common())
    question = f"no failure mode is given; proposed from the texts, in the letters of ISO 14224: {shown}"
    taken.ask(
        taken.address("cause", next(iter(found))),
        "",
        question,
        ("as proposed", "leave blank"),
        "failure modes: as proposed",
        len(found),
        line="failure modes: {}",
        under="sheet",
    )


def _routine(taken: Taken, answers: SheetAnswers) -> None:
    """Orders of a kind that the mapping calls no failure are set aside; a kind that looks like it is asked about."""
    kinds = [h for h in taken.header.headings if h.state == KEPT and h.kept != "stock"]
    out = {bare(word) for word in answers.not_failures}
    looks: Counter[str] = Counter()
    first = None
    for index, row in enumerate(taken.body.rows):
        cells = taken.sheet.rows[row]
        said = [as_text(cells[h.index]) for h in kinds if h.index < len(cells) and cells[h.index] not in (None, "")]
        said += [text for name in ("cause",) if (text := _texts_at(taken, name, index))]
        if any(bare(text) in out for text in said):
            taken.rows_aside.add(index)
            continue
        for text in said:
            if len(text) <= 40 and _is_routine(text):
                looks[text] += 1
                if not out:
                    taken.rows_asked.add(row)
                first = index if first is None else first
    if looks and first is not None and not out:
        words = list(looks)
        shown = ", ".join(f"{text!r} × {n}" for text, n in looks.most_common(12))
        question = f"these look like routine work, and no failures: {shown}; are they left out?"
        answer = f"not failures: {quoted_flow(words)}"
        where = taken.sheet.address(taken.body.rows[first], 0)
        taken.ask(where, "", question, ("left out", "failures too"), answer, sum(looks.values()), under="sheet")


def _is_routine(text: str) -> bool:
    """True for a text with a word for routine work; a short word has to stand alone: PM, but not PM01."""
    words = bare(text).split()
    stems = [stem for _, said in lines(ROUTINE) for stem in said]
    return any(word.startswith(stem) if len(stem) > 3 else word == stem for word in words for stem in stems)


def _texts_at(taken: Taken, name: str, index: int) -> str:
    read = taken.reads.get(name)
    return str(read.values[index]) if read and read.values[index] is not None else ""
