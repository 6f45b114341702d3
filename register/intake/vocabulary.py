"""The words plants use for the register's closed lists, and for a value that is not known."""

from __future__ import annotations

import re
import unicodedata
from difflib import get_close_matches
from functools import cache

from register.columns import Column, languages


def squeezed(text: str) -> str:
    """A word as compared: case, spacing and punctuation aside."""
    text = unicodedata.normalize("NFKC", text).casefold()
    return re.sub(r"[^\w%]|_", "", text)


def _spelt(lines: str) -> dict[str, str]:
    """`choice: word, word`, one a line, as squeezed word → choice."""
    found: dict[str, str] = {}
    for line in lines.strip().splitlines():
        choice, _, words = line.strip().partition(": ")
        found |= {squeezed(word): choice for word in words.split(",")}
    found.pop("", None)
    return found


_STARTING = _spelt("""
    across-the-line: DOL, direct on line, FVNR, full voltage, full voltage non reversing, ATL
    across-the-line: X-line, across line, FVR, direct, contactor, DOL starter
    star-delta: wye-delta, Y-D, Y/D, Y-Delta, star/delta, wye/delta, Y-Δ, SD, stern-dreieck
    autotransformer: auto transformer, auto-xfmr, RVAT, autotrafo, korndorfer
    soft starter: soft start, RVSS, SSRV, reduced voltage soft starter, solid state starter
    soft starter: SS, solid state
    drive: VFD, VSD, AFD, ASD, VVVF, inverter, variable frequency drive, variable speed drive
    drive: frequency converter, adjustable speed drive, AC drive
""")
_FLAGS = _spelt("""
    yes: y, yes, true, t, x, ja, si, sí, oui, 1, j
    no: n, no, false, f, nein, non, 0
""")
_STATUS = _spelt("""
    in service: running, installed, active, in use, online, operating, svc
    in store: spare, store, stores, warehouse, stock, in stock, in stores, storage, shelf
    failed: burnt, burned out, broken, faulty, bad, burnt out
    scrapped: scrap, disposed, retired, removed, junked
""")
_PROTECTION = _spelt("""
    inverse-time breaker: thermal-magnetic breaker, thermal magnetic, MCCB, TM breaker, ITCB
    instantaneous breaker: MCP, motor circuit protector, magnetic only, mag only, ITB
    time-delay fuse: time delay fuse, dual element fuse, TD fuse, dual-element
    semiconductor fuse: fast fuse, high speed fuse, aR fuse, rectifier fuse
    fuse: fuses, non-time-delay fuse, gG fuse, gL fuse, fused
""")
WORDS: dict[str, dict[str, str]] = {
    "device_kind": _STARTING,
    "bypass_starts_by": _STARTING,
    "motor_status": _STATUS,
    "device_status": _STATUS,
    "protection_kind": _PROTECTION,
    "power_path": _spelt("""
        internal bypass: bypassed, integral bypass, built-in bypass, with bypass, bypass contactor, bypass ctr
        solid state: fully solid state, SCR, SCRs, thyristor, no bypass, full time SCR
    """),
    "result": _spelt("""
        passed: pass, ok, good, satisfactory, sat, p, acceptable
        failed: fail, bad, unsatisfactory, unsat, f, ng, not ok
        not done: skipped, outstanding, pending, missed
    """),
    "load_kind": _spelt("""
        centrifugal pump: cent pump, cent. pump, centrif pump, pump centrifugal
        positive-displacement pump: PD pump, gear pump, progressive cavity pump, lobe pump
        deep-well pump: well pump, borehole pump, submersible pump
        centrifugal fan: ID fan, FD fan, fan centrifugal, exhaust fan
        conveyor: belt conveyor, belt
        screw conveyor: screw, auger
        reciprocating compressor: recip compressor, piston compressor
    """),
    "standby": _spelt("""
        none: no, n
        installed: installed spare, duty/standby, yes
    """),
    "coupling": _spelt("""
        direct: direct coupled, coupled, flexible coupling
        belt: v-belt, belts, v belt, belted, sheave
        gear: gearbox, reducer, gear reducer, geared, gear box
        fluid: fluid coupling, hydraulic coupling
    """),
    "speed_need": _spelt("""
        fixed: constant, constant speed, single speed, one speed, single
        variable: var, variable speed, adjustable
        two-speed: 2 speed, 2-speed, two speed
    """),
    "start_condition": _spelt("""
        loaded: yes, y, full, under load, full load
        unloaded: no, n, empty, no load
    """),
    "load_curve": _spelt("""
        square: quadratic, variable torque, VT, squared
        constant: constant torque, CT, const
    """),
    "overload_place": _spelt("""
        device: electronic in device, built in, integral, internal, in drive, in soft starter
        relay: OLR, overload relay, thermal relay, bimetal, heaters, heater, separate
    """),
    "device_overload": _spelt("""
        built in: yes, y, internal, integral, electronic
        none: no, n, external
    """),
    "overload_reset": _spelt("""
        manual: man, m, hand
        automatic: auto, a
    """),
    "control_scheme": _spelt("""
        hardwired: hard wired, hardwire, wired, hw
        network: bus, fieldbus, comms, networked
        both: hardwired and network, network and hardwired
    """),
    "emergency_stop": _spelt("""
        hardwired: hard wired, wired, hw
        none: no
    """),
    "bypass_arrangement": _spelt("""
        none: no, no bypass
        internal only: internal, built in
        two-contactor: 2 contactor, two contactor
        three-contactor: 3 contactor, three contactor
    """),
    "capacitor_side": _spelt("""
        line side: line
        load side: load, motor side
        none: no
    """),
    "coordination_type": {"1": "type 1", "2": "type 2"},
    "lifecycle": _spelt("""
        current: active, available
        ending: phase out, phasing out, last buy
        withdrawn: obsolete, discontinued, EOL
    """),
    "stop_mode": _spelt("""
        ramp for pumps: pump stop, pump ramp, pump deceleration
    """),
    "practice": _spelt("""
        us: usa, north america, nec
        iec: europe, international
    """),
}

# A class by letter or number means what the plant says it means; nobody else can know.
CODED = {"criticality"}
_CODES = re.compile(r"(?:class)?[a-e1-5]|high|med|medium|low|vital|major|minor|noncritical")

# fmt: off
BLANKS = {
    "": "",
    **dict.fromkeys(("?", "??", "???", "-", "--", "---", "—", "–", "tbd", "tbc", "tba", "unknown",
                     "unk", "not known", "not surveyed", "to be confirmed", "not recorded",
                     "unavailable", "not available", "no data", "blank", "see notes", "ask",
                     "xxx", "n/k"), "not surveyed"),
    **dict.fromkeys(("illegible", "unreadable", "not legible", "not readable", "illeg", "illeg.",
                     "worn", "painted over", "no nameplate", "no plate", "plate missing",
                     "can't read", "cant read", "cannot read"), "illegible"),
    **dict.fromkeys(("not published", "not stated", "not given", "not listed"), "not published"),
    **dict.fromkeys(("n/a", "na", "n.a.", "n.a", "not applicable", "n\\a"), "not applicable"),
}
# fmt: on
EXCEL_ERRORS = {"#REF!", "#N/A", "#VALUE!", "#DIV/0!", "#NAME?", "#NULL!", "#NUM!", "#SPILL!"}


def blank_reason(text: str) -> str | None:
    """Why a value is missing, when the text says that it is; "" for nothing at all, else None."""
    word = text.casefold().strip()
    return BLANKS.get(word) if word in BLANKS else languages.blanks().get(word)


def chosen(column: Column, text: str, answers: dict[str, str]) -> str | None:
    """The word of the closed list that a text means, or None."""
    word = squeezed(text)
    for said, choice in answers.items():
        if squeezed(said) == word:
            return choice
    for choice in column.choices:
        if squeezed(choice) == word:
            return choice
    return _words(column).get(word)


def _words(column: Column) -> dict[str, str]:
    """The trade's words for a column's closed list; `trip_test_result` shares those of `result`."""
    name = "result" if column.name.endswith("_result") else column.name
    if column.choices == ("yes", "no"):
        name = "flag"
    return _known(_SAME.get(name, name))


_SAME = {
    "bypass_starts_by": "device_kind",
    "device_status": "motor_status",
    "bypass_protection_kind": "protection_kind",
}


@cache
def _known(name: str) -> dict[str, str]:
    """Every language's words of a closed list; one that means two things in two of them is left out."""
    own = _FLAGS if name == "flag" else WORDS.get(name, {})
    found: dict[str, str] = {}
    double = set()
    for choice, said in languages.words().get(name, ()):
        for word in map(squeezed, said):
            if found.setdefault(word, choice) != choice:
                double.add(word)
    return {w: c for w, c in found.items() if w and w not in double} | own


def is_code(column: Column, text: str) -> bool:
    """True for a class (A, 1, high) whose meaning only the plant knows."""
    return column.name in CODED and bool(_CODES.fullmatch(squeezed(text)))


def nearest(column: Column, text: str) -> str | None:
    """The word of the list most like a text, for a hint."""
    words = {squeezed(c): c for c in column.choices} | _words(column)
    near = get_close_matches(squeezed(text), list(words), n=1, cutoff=0.6)
    return words[near[0]] if near else None
