"""What stands before and behind the values of nameplates: units and words in English, German, French, Spanish.

Units and marks: IEC 60034-1 (rating plate) and NEMA MG 1, 10.40 (nameplate marking), from memory; the words of
the four languages are common practice.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from register.columns.units import FACTORS


@dataclass(frozen=True, slots=True)
class Label:
    """A label: the column it means ("" where a number beside it is none of ours), its factor, whether it may follow."""

    column: str
    follows: bool = False
    factor: float = 0.0


_LABELS: list[tuple[str, bool, float, str]] = [
    # First what looks like a label that follows further down and means something else.
    ("", False, 0, r"S\.?\s?F\.?\s*A(?:MPS?)?|AMPS?\s*@\s*S\.?F\.?|AMPS? AT SF|LRA|I[AS]/IN|I[AS]\s?/\s?I[NR]|MAX\.? AMB\.?|AMB\.?"),
    ("", True, 0, r"kVA[Rr]?|kg|lbs?|Nm|mm|dB(?:\(A\))?|°\s?[CF]|K|m|kHz|uF|µF|μF"),
    ("power_factor", False, 1, r"cos\s?[.\-]?\s?(?:φ|Φ|ϕ|phi|fi|ø|Ø)|power factor|P\.?F\.?|leistungsfaktor|fact(?:eur|\.) de puiss(?:ance)?|fact?or de potencia|F\.?P\.?|cos"),
    ("efficiency_pct", False, 1, r"η|(?:NEMA )?(?:NOM(?:INAL|\.)?|F\.?L\.?)\s?EFF(?:ICIENCY|\.)?|EFFICIENCY|EFF\.?|eta|wirkungsgrad|rendement|rend(?:t?o?)\.?|rendimiento|IE\s?[1-5](?=\W)"),
    ("service_factor", False, 1, r"SERV(?:ICE|\.)?\s?FACT(?:OR|\.)?|SER\.?\s?F(?:ACT)?\.?|S\.?F\.?|servicefaktor|betriebsfaktor|facteur de service|factor de servicio|F\.?S\.?"),
    ("power_kw", True, FACTORS["kW"]["kw"], r"kW"),
    ("power_kw", True, FACTORS["kW"]["hp"], r"H\.?P\.?"),
    ("power_kw", True, FACTORS["kW"]["ps"], r"PS|C\.?V\.?|ch"),
    ("power_kw", False, 0, r"(?:rated )?(?:power|output)|(?:nenn|bemessungs)?leistung|puissance|potencia|puiss\.?|pot\."),
    ("speed_rpm", True, 1, r"(?:r/)?min\s?[-−]\s?1|[1rut]/min|trs?/m(?:i?n)|/min|R\.?P\.?M\.?"),
    ("speed_rpm", False, 1, r"(?:nenn)?drehzahl|speed|vitesse|velocidad|veloc\.?"),
    ("motor_frequency_hz", True, 1, r"Hz|hertz|cycles|cy\.?"),
    ("motor_frequency_hz", False, 1, r"freq(?:uen(?:cy|z)|\.)?|fréquence|frecuencia|fréq\.?"),
    ("motor_voltage_v", True, 1, r"VOLTS?|VAC|V"),
    ("motor_voltage_v", False, 1, r"(?:rated )?voltage|(?:nenn)?spannung|tension|tensión"),
    ("fla_a", True, 1, r"(?:F\.?L\.?\s?)?AMP(?:ERE)?S?\.?|A"),
    ("fla_a", False, 1, r"F\.?L\.?A\.?|(?:rated |full.load )?current|(?:nenn)?strom|intensité|courant|intensidad|corriente"),
    ("phases", True, 1, r"~|PH(?:ASES?|\.)?|phasen|fases?"),
]  # fmt: skip
LABELS = [
    (re.compile(rf"(?:{words})(?![^\W\d_])", re.IGNORECASE), Label(column, follows, factor))
    for column, follows, factor, words in _LABELS
]

_CLASS = (
    r"INS(?:UL(?:ATION)?)?\.?\s?(?:CL(?:ASS)?\.?)?|TH(?:ERM(?:AL)?)?\.?\s?C[LI](?:ASS)?\.?|ISOL?(?:ATION(?:S)?)?[.\- ]*KL(?:ASSE)?\.?"
    r"|WÄRMEKL(?:ASSE)?\.?|W\.?KL\.?|CL(?:ASSE|ASE|\.)?\s?(?:D'|DE\s)?(?:ISOL\w*|AISL\w*|TH\w*)\.?|ISOL\w*\.?\s?CL\w*\.?"
    r"|AISL\w*\.?\s?(?:CL\w*\.?)?|CLASSE?|CLASE|CL\."
)
_SERIAL = (
    r"SER(?:IAL|\.)?\s?(?:N(?:O|R|UM(?:BER)?|°)?\.?|#)|S/N|(?:FABR?(?:RIK)?|MASCH|MOT|SERIEN)[.\-]*\s?NR\.?"
    r"|N[°O]\.?\s?(?:DE\s)?S[ÉE]RIE|N\.?º?\s?(?:DE\s)?SERIE|(?:^|(?<=\s))(?:NR\.|N°)"
)
# Columns that are words: what to look for, the word itself as the only group.
WORDS: list[tuple[str, re.Pattern[str]]] = [
    (column, re.compile(pattern, re.IGNORECASE))
    for column, pattern in (
        ("motor", rf"(?<!\w)(?:{_SERIAL})\s*[:.]?\s*([A-Z0-9][A-Z0-9\-./]*\d[A-Z0-9\-./]*)"),
        ("insulation_class", rf"(?<!\w)(?:{_CLASS})\s*[:.]?\s*(?:1[0-9]{{2}}\s?\(?)?([AEBFH])(?!\w)"),
        ("design_letter", r"(?<!\w)(?:NEMA\s)?DES(?:IGN|\.)?\s*[:.]?\s*([ABCD]|NY|NE|HY|HE|N|H)(?!\w)"),
        ("code_letter", r"(?<!\w)(?:K\.?V\.?A\.?\s?)?CODE\s*[:.]?\s*([A-V])(?!\w)"),
        ("motor_enclosure", r"(?<!\w)(IP\s?[0-6][0-9][A-Z]?)(?!\w)"),
        ("motor_enclosure", r"(?<!\w)(TEFC|TENV|TEAO|TEBC|ODP|WP-?II?|XPFC|TEXP)(?!\w)"),
        ("duty_type", r"(?<!\w)(S10|S[1-9])(?!\w)"),
        ("duty_type", r"(?<!\w)(CONT(?:INUOUS|\.)?|DAUERBETRIEB|CONTINUO?)(?!\w)"),
    )
]
CONTINUOUS = "S1"  # IEC 60034-1, 4.2.1: continuous running duty
