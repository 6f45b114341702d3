"""Nameplates drawn with known truth: makers, serials and layouts are invented; the numbers close as on real ones."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from pathlib import Path
from random import Random
from typing import Any

HARMS = ("as new", "dark", "tilted", "worn", "glare")
# Rated outputs of IEC 60072-1 and horsepower of NEMA MG 1, 10.32.4, a choice; from memory.
KW = (0.75, 1.1, 1.5, 2.2, 3, 4, 5.5, 7.5, 11, 15, 18.5, 22, 30, 37, 45, 55, 75, 90, 110, 132, 160, 200)
HP = (1, 1.5, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 40, 50, 60, 75, 100, 125, 150, 200)


@dataclass(frozen=True)
class Drawn:
    """What a plate truly says, and how it is laid out: rows of text at places of a grid of 12 columns."""

    truth: dict[str, Any]
    rows: list[list[tuple[int, str]]]


def motor(chance: Random, us: bool) -> dict[str, Any]:
    """A motor whose numbers close: A = kW / (√3 · V · η · cos φ), rounded as makers round."""
    hp = chance.choice(HP)
    power = round(hp * 0.745699872, 6) if us else chance.choice(KW)
    hertz, poles = (60 if us else 50), chance.choice((2, 4, 6))
    volts = chance.choice((460, 575)) if us else chance.choice((400, 690))
    size = min(1.0, (power / 150) ** 0.25)
    efficiency = round(80 + 15.5 * size + chance.uniform(-0.5, 0.5), 1)
    factor = round(0.72 + 0.16 * size + chance.uniform(-0.02, 0.02), 2)
    amps = float(f"{power * 1000 / (sqrt(3) * volts * efficiency / 100 * factor):.3g}")
    speed = round(120 * hertz / poles * (1 - 0.045 + 0.037 * size))
    letter, digits = chance.choice("KLMPRT"), chance.randrange(10**5, 10**7)
    made: dict[str, Any] = {
        "power_kw": power, "motor_voltage_v": volts, "motor_frequency_hz": hertz, "speed_rpm": speed, "fla_a": amps,
        "efficiency_pct": efficiency, "power_factor": factor, "insulation_class": chance.choice("BFH"),
        "motor": f"{letter}{digits}", "duty_type": "S1", "motor_enclosure": chance.choice(("IP55", "IP56", "IP65")),
        "phases": 3,
    }  # fmt: skip
    if us:
        made |= {"service_factor": chance.choice((1.0, 1.15, 1.25)), "design_letter": chance.choice("ABC")}
        made |= {"code_letter": chance.choice("GHJKL"), "motor_enclosure": chance.choice(("TEFC", "ODP")), "hp": hp}
    return made


def drawn(chance: Random, form: str) -> Drawn:
    """A plate in one of the forms of FORMS."""
    truth = motor(chance, form == "us")
    rows = FORMS[form]({name: _text(name, value, form) for name, value in truth.items()})
    truth.pop("hp", None)
    return Drawn(truth, rows)


def _text(name: str, value: Any, form: str) -> str:
    text = f"{value:.2f}" if name == "power_factor" else f"{value:g}" if isinstance(value, int | float) else value
    return text.replace(".", ",") if form in ("de", "fr", "es") else text


def _us(m: dict[str, str]) -> list[list[tuple[int, str]]]:
    return [
        [(0, "OLDMARROW ELECTRIC"), (7, "INDUCTION MOTOR")],
        [(0, f"SERIAL NO. {m['motor']}"), (8, f"ENCL {m['motor_enclosure']}")],
        [(0, f"HP {m['hp']}"), (4, f"VOLTS {m['motor_voltage_v']}"), (8, f"PH {m['phases']}")],
        [(0, f"RPM {m['speed_rpm']}"), (4, f"AMPS {m['fla_a']}"), (8, f"HZ {m['motor_frequency_hz']}")],
        [(0, f"SF {m['service_factor']}"), (4, f"DESIGN {m['design_letter']}"), (8, f"CODE {m['code_letter']}")],
        [(0, f"NOM EFF {m['efficiency_pct']}"), (5, f"PF {m['power_factor']}"), (8, f"INS CL {m['insulation_class']}")],
        [(0, "DUTY CONT"), (4, "AMB 40 C"), (8, "FRAME 256T")],
    ]


def _de(m: dict[str, str]) -> list[list[tuple[int, str]]]:
    return [
        [(0, "Haldenbach Motoren"), (8, f"{m['phases']}~ Mot.")],
        [(0, f"Nr. {m['motor']}"), (7, m["motor_enclosure"]), (9, f"Wärmekl. {m['insulation_class']}")],
        [(0, f"{m['motor_voltage_v']} V"), (4, f"{m['fla_a']} A"), (8, f"{m['motor_frequency_hz']} Hz")],
        [(0, f"{m['power_kw']} kW"), (4, m["duty_type"]), (7, f"cos φ {m['power_factor']}")],
        [(0, f"{m['speed_rpm']} min-1"), (6, f"η {m['efficiency_pct']} %")],
    ]


def _fr(m: dict[str, str]) -> list[list[tuple[int, str]]]:
    return [
        [(0, "Moteurs Valbrenne"), (7, f"Mot. {m['phases']} ~"), (10, m["motor_enclosure"])],
        [(0, f"N° de série {m['motor']}"), (7, f"Classe isol. {m['insulation_class']}")],
        [(0, f"Puissance {m['power_kw']} kW"), (6, f"Tension {m['motor_voltage_v']} V")],
        [(0, f"Courant {m['fla_a']} A"), (6, f"{m['motor_frequency_hz']} Hz"), (9, m["duty_type"])],
        [(0, f"{m['speed_rpm']} tr/min"), (4, f"cos φ {m['power_factor']}"), (8, f"Rend. {m['efficiency_pct']} %")],
    ]


def _es(m: dict[str, str]) -> list[list[tuple[int, str]]]:
    return [
        [(0, "Motores Peñalba"), (8, f"{m['phases']} fases"), (10, m["motor_enclosure"])],
        [(0, f"Nº serie {m['motor']}"), (7, f"Clase aisl. {m['insulation_class']}")],
        [(0, f"Potencia {m['power_kw']} kW"), (6, f"Tensión {m['motor_voltage_v']} V")],
        [(0, f"Intensidad {m['fla_a']} A"), (6, f"{m['motor_frequency_hz']} Hz"), (9, m["duty_type"])],
        [(0, f"{m['speed_rpm']} r/min"), (4, f"cos φ {m['power_factor']}"), (8, f"Rendimiento {m['efficiency_pct']}")],
    ]


def _table(m: dict[str, str]) -> list[list[tuple[int, str]]]:
    heads = ("V", "Hz", "kW", "min-1", "cos φ", "A", "η %")
    names = (
        "motor_voltage_v",
        "motor_frequency_hz",
        "power_kw",
        "speed_rpm",
        "power_factor",
        "fla_a",
        "efficiency_pct",
    )
    places = (0, 2, 3, 5, 7, 9, 11)
    return [
        [(0, "Tarnwick Drives"), (7, f"{m['phases']} ~ Motor")],
        [
            (0, f"S/N {m['motor']}"),
            (5, m["motor_enclosure"]),
            (7, f"Ins.cl. {m['insulation_class']}"),
            (10, m["duty_type"]),
        ],
        list(zip(places, heads, strict=True)),
        [(place, m[name]) for place, name in zip(places, names, strict=True)],
    ]


FORMS = {"us": _us, "de": _de, "fr": _fr, "es": _es, "table": _table}


def picture(plate: Drawn, chance: Random, harm: str = "as new") -> Any:
    """The plate as an image of Pillow's, harmed as named."""
    import matplotlib
    from PIL import Image, ImageDraw, ImageFont

    font = ImageFont.truetype(str(Path(matplotlib.get_data_path()) / "fonts/ttf/DejaVuSans.ttf"), 30)
    height = 90 * len(plate.rows) + 60
    image = Image.new("RGB", (1240, height), (196, 198, 200))
    draw = ImageDraw.Draw(image)
    draw.rectangle((8, 8, 1231, height - 9), outline=(40, 40, 40), width=3)
    for number, row in enumerate(plate.rows):
        for place, text in row:
            draw.text((40 + 100 * place, 40 + 90 * number), text, font=font, fill=(25, 25, 30))
    return _harmed(image, chance, harm)


def _harmed(image: Any, chance: Random, harm: str) -> Any:
    from PIL import Image, ImageDraw, ImageEnhance, ImageFilter

    width, height = image.size
    if harm == "dark":
        dim = ImageEnhance.Contrast(ImageEnhance.Brightness(image).enhance(0.25)).enhance(0.6)
        return Image.blend(dim, Image.effect_noise(image.size, 60).convert("RGB"), 0.12)
    if harm == "tilted":
        return image.rotate(chance.uniform(4, 9) * chance.choice((-1, 1)), expand=True, fillcolor=(70, 66, 60))
    if harm == "worn":
        draw = ImageDraw.Draw(image)
        for _ in range(70):
            x, y = chance.uniform(0, width), chance.uniform(0, height)
            end = (x + chance.uniform(-160, 160), y + chance.uniform(-40, 40))
            draw.line((x, y, *end), fill=(196, 198, 200), width=chance.choice((2, 3, 5)))
        for _ in range(25):
            x, y, r = chance.uniform(0, width), chance.uniform(0, height), chance.uniform(4, 13)
            draw.ellipse((x - r, y - r, x + r, y + r), fill=(120, 84, 60))
        return image.filter(ImageFilter.GaussianBlur(1.4))
    if harm == "glare":
        mask = Image.new("L", image.size, 0)
        for _ in range(2):
            x, y = chance.uniform(100, width - 100), chance.uniform(60, height - 60)
            a, b = chance.uniform(90, 260), chance.uniform(50, 110)
            ImageDraw.Draw(mask).ellipse((x - a, y - b, x + a, y + b), fill=245)
        return Image.composite(Image.new("RGB", image.size, "white"), image, mask.filter(ImageFilter.GaussianBlur(35)))
    return image
