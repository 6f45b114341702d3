"""The motors of one bus that start again after a power dip: all at once, or staggered."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from sqlite_utils import Database

from register.calc.group import group_dip_pct, sequence
from register.calc.start_methods import DIRECT
from register.calc.stress import peak_xfla
from register.calc.study import Start
from register.calc.supply import Supply
from register.calc.word_match import said
from register.errors import Problem, StartrollError
from register.starts import load_case as cases
from register.starts import model
from register.starts.load_case import Case
from register.starts.one_start import known
from register.starts.words import how, why_not

SLACK = "at the voltage that the dip limit leaves it does not come up to speed"
TOO_DEEP = "by itself it causes a deeper voltage dip than allowed"
PAUSE_S = 2.0  # between the end of a start and the next one (common practice)


def restart(db: Database, bus: str, *, pause_s: float = PAUSE_S, measured_only: bool = False) -> model.BusRestart:
    """The restart of every motor of a bus of an open register, which is only read.

    Parameters
    ----------
    pause_s : time to wait after a start before its place is given to another [s]

    Raises StartrollError when the register has no such bus, or no dip limit for it.
    """
    found = cases.of_bus(db, bus, measured_only=measured_only)
    limit = found[0].values["dip_limit_pct"]
    if limit is None:
        correct = f"startroll correct {found[0].values['tag']} dip_limit_pct"
        raise StartrollError(Problem(f"how deep {bus} may dip is not known", correct))
    reasons = {case.values["tag"]: why_not(case, model.OWN) for case in found}
    able = [case for case in found if not reasons[case.values["tag"]][0]]
    rows = {case.values["tag"]: _row(case, *reasons[case.values["tag"]]) for case in found}
    together = _Together(able) if able else None
    if together:
        rows |= together.placed(rows, limit, pause_s)
    return model.BusRestart(
        bus=bus,
        dip_limit_pct=limit,
        dip_limit_origin=found[0].origin("dip_limit_pct"),
        pause_s=pause_s,
        all_at_once_pct=together and together.dip_pct(),
        by_themselves_pct=together and together.dip_pct(by_themselves=True),
        motors=tuple(rows.values()),
    )


def _row(case: Case, reason: str, to_read: tuple[str, ...]) -> model.Restart:
    v = case.values
    return model.Restart(
        tag=v["tag"],
        description=v["description"] or "",
        how=how(case, model.OWN),
        by_itself=v["restarts_by_itself"],
        why_not=reason,
        to_read=to_read,
    )


class _Together:
    """The motors of a bus whose starts can be studied, as arrays."""

    def __init__(self, cases: list[Case]) -> None:
        self.tags = [case.values["tag"] for case in cases]
        tables = {n: v for n, v in cases[0].facts.items() if n.endswith("_table")}
        facts = {n: np.concatenate([c.facts[n] for c in cases]) for n in cases[0].facts if n not in tables}
        self.start = Start.own(facts | tables)
        self.machine = self.start.machine()
        self.peak_xfla = peak_xfla(march=self.start.march(self.machine))
        # Across the line a standing motor is an impedance; a device holds it to what it draws.
        direct = self.start.control.method == DIRECT
        self.limit_xfla = np.where(direct, np.inf, self.peak_xfla)

    def dip_pct(self, *, by_themselves: bool = False) -> float | None:
        """Dip of the bus when all of them start at once, or those that need no person to."""
        alone = said(self.start.facts["restarts_by_itself"], "yes")
        at = np.flatnonzero(alone | (not by_themselves))
        if not at.size:
            return None
        return known(
            group_dip_pct(
                machine=self.machine.take(at), supply=self.start.supply.take(at), limit_xfla=self.limit_xfla[at]
            )
        )

    def placed(self, rows: dict[str, model.Restart], dip_limit_pct: float, pause_s: float) -> dict[str, model.Restart]:
        """The rows of these motors, with their place in the sequence."""
        seconds = self._slowest_s(dip_limit_pct)
        found = sequence(
            machine=self.machine,
            supply=self.start.supply,
            start_s=seconds,
            dip_limit_pct=dip_limit_pct,
            limit_xfla=self.limit_xfla,
            pause_s=pause_s,
        )
        made = {}
        for i, tag in enumerate(self.tags):
            stalls, left_out = np.isnan(seconds[i]), np.isnan(found.begins_s[i])
            why = SLACK if stalls else TOO_DEEP
            made[tag] = replace(
                rows[tag],
                peak_a=float(self.peak_xfla[i] * self.start.facts["fla_a"][i]),
                start_s=known(seconds[i]),
                begins_s=known(found.begins_s[i]),
                dip_pct=known(found.dip_pct[i]),
                why_not=why if left_out else "",
            )
        return made

    def _slowest_s(self, dip_limit_pct: float) -> np.ndarray:
        """Time of each start on a bus that is held down at the limit all the while [s]."""
        usual = self.start.supply
        held = Start(self.start.facts, self.start.control)
        left = 1.0 - dip_limit_pct / 100.0
        held.supply = Supply(0.0 * usual.z_s, usual.z_c, usual.v_oc * left)
        return held.march(self.machine).start_s
