"""Six lists of invented plants, each written as that plant would, with what is true of every motor.

Nothing in them knows how the intake works: headings, words and number forms are those that such lists have (common
practice). Motors: IEC 60034-1 four-pole sizes with round catalogue-like values of our own.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import Any

import xlsxwriter

# kW, A at 400 V, r/min, cos φ, efficiency, frame
SIZES = [
    (0.75, 1.8, 1420, 0.76, 79.6, "80"), (1.5, 3.3, 1435, 0.79, 82.8, "90L"), (2.2, 4.6, 1440, 0.81, 84.3, "100L"),
    (4, 7.9, 1445, 0.83, 86.6, "112M"), (5.5, 10.6, 1455, 0.84, 87.7, "132S"), (7.5, 14.2, 1455, 0.85, 88.7, "132M"),
    (11, 20.6, 1465, 0.85, 89.8, "160M"), (15, 27.9, 1465, 0.85, 90.6, "160L"), (22, 41, 1470, 0.85, 91.6, "180L"),
    (30, 55, 1475, 0.85, 92.3, "200L"), (45, 81, 1480, 0.86, 93.1, "225M"), (75, 133, 1485, 0.87, 94, "280S"),
    (110, 194, 1488, 0.87, 94.5, "315S"),
]  # fmt: skip
# hp, A at 460 V (NFPA 70 table 430.250), r/min, efficiency, frame
NEMA = [
    (5, 7.6, 1745, 89.5, "184T"), (7.5, 11, 1755, 91, "213T"), (10, 14, 1760, 91.7, "215T"), (15, 21, 1765, 92.4, "254T"),
    (20, 27, 1770, 93, "256T"), (25, 34, 1775, 93.6, "284T"), (40, 52, 1775, 94.1, "324T"), (50, 65, 1780, 94.5, "326T"),
    (75, 96, 1780, 95, "365T"), (100, 124, 1785, 95.4, "405T"), (150, 180, 1785, 95.8, "445T"),
]  # fmt: skip
HP = 0.745699872
KINDS = ["across-the-line", "star-delta", "soft starter", "drive"]


@dataclass
class Strange:
    """A list: its files' makers, what is true by tag and column, and the answers that the plant would give."""

    name: str
    practice: str
    frequency: float
    files: dict[str, bytes]
    truth: dict[str, dict[str, Any]]
    answers: str = ""
    events: int = 0
    not_positions: set[str] = field(default_factory=set)

    def write(self, folder: Path) -> list[Path]:
        """The files, written into a folder."""
        paths = []
        for name, data in self.files.items():
            path = folder / name
            path.write_bytes(data)
            paths.append(path)
        return paths


def comma(value: float, digits: int | None = None) -> str:
    """A number with a decimal comma, thousands parted by a point."""
    text = f"{value:,.{digits}f}" if digits is not None else f"{value:,g}"
    return text.replace(",", "_").replace(".", ",").replace("_", ".")


def kind_of(i: int, kw: float) -> str:
    """How a motor is started: by size and place, as plants have grown."""
    if i % 7 == 3:
        return "drive"
    if kw >= 45:
        return "soft starter" if i % 2 else "star-delta"
    return "star-delta" if kw >= 15 and i % 3 == 0 else "across-the-line"


def book(sheets: dict[str, list[list[Any]]], struck: set[tuple[str, int, int]] = frozenset()) -> bytes:
    """A workbook of sheets; some cells struck out."""
    made = io.BytesIO()
    with xlsxwriter.Workbook(made) as out:
        days = out.add_format({"num_format": "dd/mm/yyyy"})
        strike = out.add_format({"font_strikeout": True})
        for title, rows in sheets.items():
            page = out.add_worksheet(title)
            for i, row in enumerate(rows):
                for j, cell in enumerate(row):
                    shape = strike if (title, i, j) in struck else None
                    if isinstance(cell, (date, datetime)):
                        page.write_datetime(i, j, datetime(cell.year, cell.month, cell.day), days)
                    elif isinstance(cell, str) and cell:
                        page.write_string(i, j, cell, shape)
                    elif cell != "" and cell is not None:
                        page.write(i, j, cell, shape)
    return made.getvalue()


def sugar() -> Strange:
    """A German sugar factory's CSV: Windows letters, semicolons, decimal commas, units in a second line, sums."""
    word = {"across-the-line": "direkt", "star-delta": "Stern-Dreieck", "soft starter": "Sanftanlasser", "drive": "FU"}
    machines = [("Rübenpumpe", "Kreiselpumpe"), ("Saugzug", "Radialventilator"), ("Zuckerband", "Förderband"),
                ("Rührwerk Maische", "Rührwerk"), ("Schnitzelschnecke", "Förderschnecke")]  # fmt: skip
    head = ["Lfd. Nr.", "AKZ", "Verbraucher", "Arbeitsmaschine", "Gebäude", "Einspeisung", "Einschub", "Nennleistung",
            "Nennspannung", "Nennstrom", "cos phi", "Wirkungsgrad", "Nenndrehzahl", "Schutzart", "Bauform", "Baugröße",
            "Fabrikat", "Fabr.-Nr.", "Baujahr", "Anlaufart", "Vorsicherung", "Motorschutz eingestellt auf",
            "Auslöseklasse", "Kabelquerschnitt", "Kabellänge", "Bemerkung"]  # fmt: skip
    units = [
        "",
        "",
        "",
        "",
        "",
        "",
        "",
        "kW",
        "V",
        "A",
        "",
        "%",
        "1/min",
        "",
        "",
        "",
        "",
        "",
        "",
        "",
        "",
        "A",
        "",
        "mm²",
        "m",
        "",
    ]
    rows = [
        ["Zuckerfabrik Unterried"],
        ["Motorenliste Stand 03/2023", "", "", "Ersteller: Elektrowerkstatt"],
        [],
        head,
        units,
    ]
    truth: dict[str, dict[str, Any]] = {}
    for i in range(48):
        kw, amps, rpm, pf, eff, frame = SIZES[(i * 5) % len(SIZES)]
        kind, tag, bus = kind_of(i, kw), f"20 M {101 + i}", f"NSHV-{1 + i // 16}"
        name, machine = machines[i % len(machines)]
        fuse = next(f for f in (10, 16, 20, 25, 35, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400) if f >= 1.6 * amps)
        plate = i % 11 != 5
        relay = kind in ("across-the-line", "star-delta")
        set_a = round(amps * (0.58 if kind == "star-delta" else 1), 1)
        truth[tag] = {
            "description": f"{name} {1 + i // 5}", "area": f"Geb. {1 + i // 20}", "bus": bus, "power_kw": kw,
            "motor_voltage_v": 400, "device_kind": kind, "protection_rating_a": fuse, "protection_kind": "fuse", "fuse_class": "gG",
            "cable_length_m": 20.5 + 7 * i, "load_kind": {"Kreiselpumpe": "centrifugal pump", "Radialventilator": "centrifugal fan",
            "Förderband": "conveyor", "Rührwerk": "agitator", "Förderschnecke": "screw conveyor"}[machine],
        }  # fmt: skip
        if plate:
            truth[tag] |= {
                "fla_a": amps,
                "power_factor": pf,
                "efficiency_pct": eff,
                "speed_rpm": rpm,
                "motor": f"N{70311 + 13 * i}",
            }
        if relay:
            truth[tag] |= {"relay_set_a": set_a, "relay_trip_class": "10"}
        rows.append([
            str(i + 1), tag, truth[tag]["description"], machine, truth[tag]["area"], bus, f"{1 + i // 8}.{1 + i % 8}", comma(kw), "400",
            comma(amps) if plate else "k.A.", comma(pf) if plate else "", comma(eff) if plate else "unleserlich", comma(rpm) if plate else "",
            "IP55", "B3", frame, "Kolbert", truth[tag].get("motor", ""), str(1988 + i % 30), word[kind], f"NH00 {fuse}A gG",
            comma(set_a) if relay else "entfällt", "Kl. 10" if relay else "", f"4x{4 if kw < 10 else 16 if kw < 30 else 50}",
            comma(truth[tag]["cable_length_m"]), "Lager neu 2021" if i % 9 == 4 else "",
        ])  # fmt: skip
        if i in (15, 31):
            rows.append([])
    rows.append(["Summe", "", "", "", "", "", "", comma(sum(t["power_kw"] for t in truth.values()))])
    text = "\r\n".join(";".join(str(c) for c in row) for row in rows)
    return Strange("sugar factory, German CSV", "iec", 50, {"motorenliste.csv": text.encode("cp1252")}, truth)


def cannery() -> Strange:
    """A French cannery's export in long form: a line for each characteristic of each motor."""
    word = {
        "across-the-line": "direct",
        "star-delta": "étoile-triangle",
        "soft starter": "démarreur progressif",
        "drive": "variateur",
    }
    rows: list[list[Any]] = [["Repère", "Libellé", "Caractéristique", "Valeur", "Unité"]]
    truth: dict[str, dict[str, Any]] = {}
    for i in range(40):
        kw, amps, rpm, pf, eff, frame = SIZES[(i * 4 + 1) % len(SIZES)]
        tag, kind = f"CV{210 + i}-M1", kind_of(i, kw)
        name = ["Pompe saumure", "Convoyeur boîtes", "Ventilateur étuve", "Agitateur cuve"][i % 4] + f" {i + 1}"
        truth[tag] = {
            "description": name, "bus": f"TGBT {1 + i // 20}", "power_kw": kw, "motor_voltage_v": 400, "fla_a": amps,
            "speed_rpm": rpm, "power_factor": pf, "efficiency_pct": eff, "device_kind": kind, "insulation_class": "F",
            "motor": f"CX-{5500 + 7 * i}", "protection_rating_a": float([16, 25, 40, 63, 100, 160, 250][min(6, int(amps) // 25)]),
            "cable_length_m": 15.0 + 4 * i,
        }  # fmt: skip
        values = [
            ("Armoire", truth[tag]["bus"], ""), ("Puissance nominale", kw, "kW"), ("Tension", 400, "V"), ("Courant nominal", amps, "A"),
            ("Vitesse", rpm, "tr/min"), ("Cos phi", pf, ""), ("Rendement", eff, "%"), ("Mode de démarrage", word[kind], ""),
            ("Classe d'isolation", "F", ""), ("N° de série", truth[tag]["motor"], ""), ("Constructeur", "Vermoret", ""),
            ("Indice de protection", "IP55", ""), ("Hauteur d'axe", frame, ""), ("Calibre disjoncteur", truth[tag]["protection_rating_a"], "A"),
            ("Longueur câble", truth[tag]["cable_length_m"], "m"), ("Roulement avant", "6309 2RS", ""), ("Année", 2004 + i % 15, ""),
        ]  # fmt: skip
        if kind in ("across-the-line", "star-delta"):
            truth[tag]["relay_set_a"] = round(amps * 0.98, 1)
            values.append(("Réglage thermique", truth[tag]["relay_set_a"], "A"))
        rows += [[tag, name, what, value, unit] for what, value, unit in values]
    return Strange("cannery, French long form", "iec", 50, {"export_gmao.xlsx": book({"Export": rows})}, truth)


def quarry() -> Strange:
    """A Spanish quarry's workbook: a cover, motors by CV, starters on a sheet of their own, boards, spares."""
    word = {
        "across-the-line": "Directo",
        "star-delta": "Estrella-triángulo",
        "soft starter": "Arrancador suave",
        "drive": "Variador",
    }
    motors: list[list[Any]] = [["CANTERA EL PEDREGAL"], ["Listado de motores"], [],
        ["Ítem", "TAG", "Servicio", "Zona", "Tablero", "Potencia (CV)", "Tensión (V)", "Corriente nominal (A)", "RPM", "F.P.",
         "Factor de servicio", "Grado de protección", "Carcasa", "Marca", "Nº de serie", "Rodamiento LA", "Observaciones"]]  # fmt: skip
    starters: list[list[Any]] = [
        [
            "TAG",
            "Tipo de arranque",
            "Modelo arrancador",
            "Interruptor",
            "Relé térmico",
            "Sección cable",
            "Longitud cable (m)",
        ]
    ]
    truth: dict[str, dict[str, Any]] = {}
    for i in range(36):
        kw, amps, rpm, pf, _, frame = SIZES[(i * 6 + 2) % len(SIZES)]
        cv = round(kw / 0.7355, 1)
        tag, kind = f"CH-{301 + i}", kind_of(i, kw)
        name = ["Machacadora", "Cinta 1200", "Criba", "Bomba lodos", "Ventilador filtro"][i % 5] + f" Nº{i + 1}"
        cb = float([16, 25, 40, 63, 100, 160, 250][min(6, int(amps) // 25)])
        truth[tag] = {
            "description": name, "area": f"Planta {1 + i // 12}", "bus": f"CCM-{1 + i // 12}", "power_kw": round(cv * 0.73549875, 4),
            "motor_voltage_v": 400, "fla_a": amps, "speed_rpm": rpm, "power_factor": pf, "service_factor": 1.15, "motor": f"EP{4000 + 3 * i}",
            "device_kind": kind, "protection_rating_a": cb, "protection_kind": "inverse-time breaker", "cable_length_m": 30.0 + 3 * i,
        }  # fmt: skip
        relay: Any = round(amps, 1)
        if kind == "drive":
            relay, truth[tag]["overload_place"] = "en variador", "device"
        elif kind == "soft starter":
            relay, truth[tag]["overload_place"] = "integrado", "device"
        else:
            truth[tag]["relay_set_a"] = relay
        motors.append([i + 1, tag, name, truth[tag]["area"], truth[tag]["bus"], cv, "400/690" if kw > 4 and i % 4 == 0 else 400,
                       f"{amps}/{round(amps / 1.732, 1)}" if kw > 4 and i % 4 == 0 else amps, rpm, pf, 1.15, "IP-55", frame, "Ibermot",
                       truth[tag]["motor"], "6312 C3", "sin placa" if i == 9 else ""])  # fmt: skip
        starters.append(
            [
                tag,
                word[kind],
                f"{kind[:2].upper()}-{int(kw)}",
                f"Termomagnético 3P {int(cb)}A",
                relay,
                f"4x{6 if kw < 15 else 35}",
                30.0 + 3 * i,
            ]
        )
    boards: list[list[Any]] = [["Tablero", "Tensión de red (V)", "Icc (kA)", "Transformador (kVA)"]]
    boards += [[f"CCM-{n}", 400, 18.5 + n, 630] for n in (1, 2, 3)]
    spares: list[list[Any]] = [["Repuestos en almacén"], ["Ítem", "Descripción", "Potencia (CV)", "Cantidad", "Estante"],
                               [1, "Motor 15 CV 4P", 15, 1, "A-3"], [2, "Motor 40 CV 4P", 40, 2, "B-1"]]  # fmt: skip
    cover: list[list[Any]] = [
        ["Cantera El Pedregal, S.A."],
        ["Listado eléctrico"],
        ["Revisión 4"],
        ["Elaborado: Taller eléctrico"],
    ]
    sheets = {"Portada": cover, "Motores": motors, "Arrancadores": starters, "Tableros": boards, "Repuestos": spares}
    answers = "sheets:\n  Repuestos: {skip: yes}\n"
    return Strange(
        "quarry, Spanish workbook", "iec", 50, {"cantera.xlsx": book(sheets)}, truth, answers, not_positions={"1", "2"}
    )


def mill() -> Strange:
    """A paper mill's workbook of MCC sheets: cells that say several things, ditto marks, a struck-out cell, lines for lineups."""
    word = {"across-the-line": "FVNR", "star-delta": "Y-Delta", "soft starter": "SS w/ int bypass", "drive": "VFD"}
    head = ["Bucket", "Equip No", "DESCRIPTION", "HP", "Bus V", "FLA @460", "RPM", "S.F.", "Encl", "Frame", "Mfr", "Starter",
            "Bkr/Fuse", "O/L setting", "O/L Cl.", "Wire", "Run (ft)", "STATUS", "Last PM", "Remarks"]  # fmt: skip
    sheets: dict[str, list[list[Any]]] = {}
    truth: dict[str, dict[str, Any]] = {}
    struck = set()
    for m in range(3):
        name = f"MCC-{m + 4}"
        rows: list[list[Any]] = [[f"GRAYWATER PAPER - {name}"], [], head]
        for i in range(20):
            hp, amps, rpm, _, frame = NEMA[(i * 3 + m) % len(NEMA)]
            tag, kind = f"{m + 4}{100 + i}-PM", kind_of(i + m, hp * HP)
            trip = float(next(b for b in (15, 20, 30, 50, 70, 100, 150, 200, 250, 400) if b >= 1.7 * amps))
            style = ("MCP", "instantaneous breaker") if i % 3 else ("TM", "inverse-time breaker")
            truth[tag] = {
                "description": f"{['Stock pump', 'Agitator', 'Fan', 'Repulper', 'Conveyor'][i % 5]} {m + 4}-{i + 1}", "power_kw": hp * HP,
                "fla_a": amps, "speed_rpm": rpm, "service_factor": 1.15, "device_kind": kind, "protection_rating_a": trip,
                "protection_kind": style[1], "bus_voltage_v": 480, "cable_length_m": (60 + 12 * i) * 0.3048, "frame": frame,
            }  # fmt: skip
            setting: Any = round(amps * 1.0, 1)
            if kind == "drive":
                setting, truth[tag]["overload_place"] = "in drive", "device"
            elif kind == "soft starter":
                setting, truth[tag]["overload_place"], truth[tag]["power_path"] = (
                    "internal",
                    "device",
                    "internal bypass",
                )
            else:
                truth[tag] |= {"relay_set_a": setting, "overload_place": "relay", "relay_trip_class": "20"}
            relay = "relay_set_a" in truth[tag]
            if i == 7:
                struck.add((name, len(rows), 5))
                del truth[tag]["fla_a"]
            same = i % 5 == 4
            rows.append([f"{1 + i // 4}{'ABCD'[i % 4]}", tag, truth[tag]["description"], f"{hp}", '"' if same else 480, amps, rpm, 1.15,
                         '"' if same else "TEFC", frame, '"' if same else "Norland", word[kind], f"{int(trip)}A {style[0]}", setting,
                         "CL20" if relay else "", "3/C #6 AWG", 60 + 12 * i, "Running", date(2023, 1 + i % 12, 3 + i), ""])  # fmt: skip
        sheets[name] = rows
    answers = (
        "sheets:\n  '*':\n    struck out: ignore\n    headings:\n"
        "      Bus V: bus_voltage_v\n"
        "  MCC-4: {constants: {bus: MCC-4}}\n  MCC-5: {constants: {bus: MCC-5}}\n  MCC-6: {constants: {bus: MCC-6}}\n"
    )
    return Strange("paper mill, MCC sheets", "us", 60, {"mcc survey.xlsx": book(sheets, struck)}, truth, answers)


def dairy() -> Strange:
    """An Italian dairy's maintenance system: assets by their own number, work orders that know that number alone."""
    word = {
        "across-the-line": "diretto",
        "star-delta": "stella-triangolo",
        "soft starter": "avviatore statico",
        "drive": "inverter",
    }
    assets: list[list[Any]] = [["Codice cespite", "Sigla utenza", "Descrizione", "Reparto", "Quadro", "Potenza (kW)", "Tensione (V)",
                                "Corrente nominale (A)", "Giri/min", "Cosfi", "Costruttore", "Matricola", "Grado di protezione",
                                "Avviamento", "Taratura termico (A)", "Anno di costruzione", "Note"]]  # fmt: skip
    orders: list[list[Any]] = [
        ["N. OdL", "Codice cespite", "Data guasto", "Descrizione guasto", "Ore fermo", "Tecnico"]
    ]
    truth: dict[str, dict[str, Any]] = {}
    faults = ["Motore surriscaldato, intervento termica", "Cuscinetto rumoroso lato accoppiamento", "Non parte, contattore bruciato",
              "Vibrazioni elevate", "Scatto magnetotermico"]  # fmt: skip
    for i in range(34):
        kw, amps, rpm, pf, _, _ = SIZES[(i * 3 + 1) % len(SIZES)]
        tag, kind = f"LAT-P{11 + i}", kind_of(i, kw)
        truth[tag] = {
            "description": f"{['Pompa latte', 'Agitatore', 'Ventilatore torre', 'Compressore'][i % 4]} {i + 1}", "area": f"Reparto {1 + i // 12}",
            "bus": f"QE{1 + i // 17}", "power_kw": kw, "motor_voltage_v": 400, "fla_a": amps, "speed_rpm": rpm, "power_factor": pf,
            "motor": f"MT{880 + 5 * i}", "device_kind": kind,
        }  # fmt: skip
        relay: Any = ""
        if kind in ("across-the-line", "star-delta"):
            relay = truth[tag]["relay_set_a"] = round(amps * 1.0, 1)
        assets.append([100200 + i, tag, truth[tag]["description"], truth[tag]["area"], truth[tag]["bus"], kw, 400, amps, rpm, pf, "Valmotori",
                       truth[tag]["motor"], "IP55", word[kind], relay, 2001 + i % 20, ""])  # fmt: skip
    for n in range(70):
        orders.append(
            [
                f"OL{23000 + n}",
                100200 + (n * 7) % 34,
                date(2022 + n % 2, 1 + n % 12, 1 + n % 27),
                faults[n % 5],
                1 + n % 9,
                "G. Ferri",
            ]
        )
    files = {"anagrafica.xlsx": book({"Anagrafica": assets}), "ordini.xlsx": book({"OdL": orders})}
    answers = "sheets:\n  OdL: {failure modes: as proposed}\n"
    return Strange("dairy, work orders by asset number", "iec", 50, files, truth, answers, events=70)


def waterboard() -> Strange:
    """A Portuguese water company's pump list: UTF-16 with tabs, CV and 1.234,5, words in capitals, ditto words."""
    word = {
        "across-the-line": "PARTIDA DIRETA",
        "star-delta": "ESTRELA-TRIÂNGULO",
        "soft starter": "SOFT-STARTER",
        "drive": "INVERSOR",
    }
    head = ["TAG", "DESCRIÇÃO", "LOCAL", "PAINEL", "POTÊNCIA (CV)", "TENSÃO (V)", "CORRENTE (A)", "ROTAÇÃO (RPM)", "FP", "FS", "GRAU DE PROTEÇÃO",
            "CARCAÇA", "FABRICANTE", "Nº SÉRIE", "TIPO DE PARTIDA", "DISJUNTOR (A)", "AJUSTE RELÉ TÉRMICO (A)", "CABO", "COMPRIMENTO CABO (m)",
            "PARTIDAS/HORA", "PESO (kg)", "OBSERVAÇÕES"]  # fmt: skip
    rows: list[list[str]] = [["Companhia de Águas do Vale"], [], head]
    truth: dict[str, dict[str, Any]] = {}
    for i in range(42):
        kw, amps, rpm, pf, _, frame = SIZES[(i * 5 + 3) % len(SIZES)]
        cv, tag, kind = round(kw / 0.7355, 1), f"EE{1 + i // 6}-B{1 + i % 6}", kind_of(i, kw)
        cb = float([16, 25, 40, 63, 100, 160, 250][min(6, int(amps) // 25)])
        truth[tag] = {
            "description": f"Bomba de recalque {i + 1}", "area": f"Elevatória {1 + i // 6}", "bus": f"QGBT-{1 + i // 6}",
            "power_kw": round(cv * 0.73549875, 4), "motor_voltage_v": 380, "fla_a": amps, "speed_rpm": rpm, "power_factor": pf,
            "service_factor": 1.15, "motor": f"B{10300 + i}", "device_kind": kind, "protection_rating_a": cb, "cable_length_m": 12.5 + i,
            "starts_per_hour": 4 + i % 6,
        }  # fmt: skip
        relay = ""
        if kind in ("across-the-line", "star-delta"):
            truth[tag]["relay_set_a"] = amps
            relay = comma(amps)
        rows.append([tag, truth[tag]["description"], truth[tag]["area"] if i % 6 == 0 else "idem", truth[tag]["bus"], comma(cv), "380", comma(amps), comma(rpm),
                     comma(pf), "1,15", "IPW55", frame, "Andorinha", truth[tag]["motor"], word[kind], comma(cb), relay, "3x10+T", comma(12.5 + i),
                     str(4 + i % 6), comma(1100.5 + i), "sem placa" if i % 13 == 6 else ""])  # fmt: skip
    text = "\r\n".join("\t".join(row) for row in rows)
    return Strange("water company, Portuguese UTF-16", "iec", 60, {"bombas.txt": text.encode("utf-16")}, truth)


def lists() -> list[Strange]:
    """All six."""
    return [sugar(), cannery(), quarry(), mill(), dairy(), waterboard()]
