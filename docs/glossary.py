"""Words that need a sentence: the trade's, and the few that the audit gives a meaning of its own."""

from __future__ import annotations

# fmt: off
GLOSSARY: dict[str, str] = {
    "assumed value": "A value that a calculation takes where nobody has entered one: declared in rules/assumptions.yml with "
        "its reason, named wherever it counts. `--measured-only` uses none.",
    "bypass": "A contactor or starter that carries the motor's current past its device. An *internal bypass* is part of a soft "
        "starter, closes at full speed and fails with it; only a *failover bypass* runs the load without the device.",
    "can't tell": "The outcome of a rule that cannot be judged yet: a value it reads is unknown. Never a pass, never a fail; it "
        "names the data to collect.",
    "concession": "The recorded acceptance of a finding until a date: asked for by one person, approved by another, void when the "
        "motor, the device, the rule or the margin changes (ISO 9000).",
    "corrective action": "The work that removes a finding: assigned to somebody, due on a date, closed with evidence and confirmed "
        "by the next audit.",
    "device": "What starts and feeds the motor: across-the-line starter, star-delta starter, autotransformer, soft starter or "
        "drive, by its serial number. It is installed at a position or lies in store.",
    "duty code": "The marking of a soft starter or contactor for how hard it may be started, as AC-53b: 3.5-15 : 345: 3.5 times "
        "its rated current for 15 s, then 345 s off (IEC 60947-4-2).",
    "failover bypass": "A second path from line to motor that runs the load when the device has failed: two or three contactors, or a "
        "standby starter. Three contactors cut the device off, so that it can be replaced while the load runs.",
    "FLA": "Full-load current of the motor in A, from its nameplate. Currents and limits are often given as multiples of it, "
        "× FLA.",
    "grade": "How serious a failed rule is: *major*, *minor* or *observation* (ISO/IEC 17021-1). The grade belongs to the rule and "
        "is the same everywhere.",
    "lineup": "A row of starters that share bus bars and a main breaker: a motor control centre or a switchboard section.",
    "locked rotor": "The motor at standstill with voltage applied: its current is about 6 × FLA and it heats fast. Hot and cold "
        "stall time say how long it withstands that.",
    "margin": "How far a requirement is met, in its own unit; negative by how far it is missed.",
    "model": "A maker's type of device, an entry of the catalogue; many devices can be of one model.",
    "outcome": "What a rule gives at one place: *passed*, *failed*, *can't tell* or *inapplicable* (W3C EARL). The four add up.",
    "position": "The place of one motor in the plant, by its tag. Motor and device may be replaced; the position stays.",
    "practice": "The family of codes and units that a site follows: `us` (NEC, NEMA, hp) or `iec` (IEC, kW).",
    "priority": "The order in which to correct findings: grade × criticality × margin, each factor shown.",
    "provisional": "Said of a verdict that assumes at least one value. Measuring that value may change it.",
    "verdict": "One outcome of one rule at one place, with what it is based on.",
}
# fmt: on


def page() -> str:
    """The glossary as a page of the docs."""
    lines = [f"**{word}**: {' '.join(meaning.split())}\n" for word, meaning in sorted(GLOSSARY.items(), key=_letters)]
    return "\n".join(["# Glossary\n", *lines])


def _letters(entry: tuple[str, str]) -> str:
    return entry[0].casefold()
