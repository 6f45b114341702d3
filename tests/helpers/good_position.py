"""One good position of each practice, and registers of it with one thing changed in each copy."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from register.audit.judge import Audit, run
from register.columns import TABLES
from register.rulebook.load.pack import load_pack
from register.store.database import create, opened, writing

TODAY = date(2026, 11, 25)
CHECKS = ("bump test", "load test", "connections verified", "safety checks", "hazardous area inspection")

# 10 hp, 460 V, 1760 r/min, 12.4 A: Table 430.250 counts it at 14 A (NFPA 70).
# fmt: off
US = {
    "bus_voltage_v": 480, "fault_current_ka": 42, "main_kind": "breaker", "main_breaker_pickup_a": 400,
    "bus_rating_a": 600, "feeder_ampacity_a": 420,
    "description": "No 1 stock pump", "load_kind": "centrifugal pump", "motors_on_device": 1, "cable_ampacity_a": 20,
    "running_current_a": 11, "enclosure_need": "NEMA 1", "panel_enclosure": "none", "hazardous_area": "no",
    "restart_hurts": "no", "inching": "no", "criticality": "ordinary", "capacitor_side": "none",
    "ambient_c": 30, "power_kw": 7.457, "motor_voltage_v": 460, "phases": 3, "motor_frequency_hz": 60, "poles": 4, "speed_rpm": 1760,
    "fla_a": 12.4, "service_factor": 1.15, "temperature_rise_c": 80, "design_letter": "B", "locked_rotor_ratio": 6.4,
    "efficiency_pct": 91.7, "power_factor": 0.82, "hot_stall_s": 12, "duty_type": "S1",
    "motor_installed_on": "2022-03-01", "locked_rotor_torque_pct": 165, "start_condition": "unloaded",
    "device_kind": "across-the-line", "power_path": "contactor", "rated_current_a": 18, "device_power_kw": 7.457,
    "device_power_v": 460, "nema_size": "1", "voltage_min_v": 380, "voltage_max_v": 528, "device_overload": "none",
    "utilization_category": "AC-3", "short_circuit_rating_ka": 65, "line_protection_kind": "fuse or breaker",
    "line_protection_max_a": 100, "fuse_class_required": "any", "device_control_voltage_v": 120,
    "device_control_current": "AC", "device_enclosure": "NEMA 1", "device_installed_on": "2022-03-01",
    "protection_kind": "time-delay fuse", "protection_rating_a": 25, "interrupting_ka": 100, "fuse_class": "J",
    "disconnect_rating_a": 30, "overload_place": "relay", "relay_set_a": 12.4, "relay_trip_class": "10",
    "relay_reset": "manual", "bypass_arrangement": "none", "control_voltage_v": 120, "control_current": "AC",
    "automatic_control": "no", "local_stop": "yes", "restarts_by_itself": "no",
}
# 7.5 kW, 400 V, 14.4 A; a plate to IEC 60034 has no service factor.
IEC = US | {
    "bus_voltage_v": 400, "power_kw": 7.5, "motor_voltage_v": 400, "motor_frequency_hz": 50, "speed_rpm": 1465,
    "fla_a": 14.4, "service_factor": None, "design_letter": "N", "running_current_a": 13, "relay_set_a": 14.4,
    "device_power_kw": 11, "device_power_v": 400, "nema_size": "none", "voltage_min_v": 340, "voltage_max_v": 440,
    "enclosure_need": "IP20", "device_enclosure": "IP20", "rated_current_a": 25, "hot_stall_s": 15,
}
# fmt: on
SITES = {"us": US, "iec": IEC}
KEYED = ("bus", "position", "motor", "model", "device", "setting", "protection", "bypass", "control")


def _row(table: str, tag: str, values: dict) -> dict:
    """The row of one table at a position, keys and all."""
    row = {c.name: values[c.name] for c in TABLES[table].columns if values.get(c.name) is not None}
    row |= {key: f"{tag} {key}" for key in TABLES[table].key} | {"tag": tag}
    named = {
        "setting_recorded_on": "2022-03-02",
        "model": f"{tag} model",
        "bus": values.get("bus", f"{tag} bus"),
        "device": f"{tag} device",
    }
    if table == "bus":
        named["bus"] = f"{tag} bus"
    return {n: v for n, v in (row | named).items() if n in {c.name for c in TABLES[table].columns}}


def judged(folder: Path, practice: str, changes: dict[str, dict]) -> Audit:
    """The audit of a register in which every tag is the good position with its own change."""
    path = folder / f"{practice}.db"
    hertz = SITES[practice]["motor_frequency_hz"]
    create(
        path, {"site": "Cairnholt", "practice": practice, "site_frequency_hz": float(hertz), "site_altitude_m": 100.0}
    )
    with opened(path, write=True) as db, writing(db, reason="cases", author="test"):
        for tag, change in changes.items():
            values = SITES[practice] | change
            for table in KEYED:
                if row := _row(table, tag, values):
                    marks = ", ".join("?" * len(row))
                    db.execute(f"INSERT INTO {table} ({', '.join(row)}) VALUES ({marks})", list(row.values()))
            for kind in CHECKS:
                stem = kind.replace(" ", "_")
                done = values.get(f"{stem}_on", "2022-03-02"), values.get(f"{stem}_result", "passed")
                db.execute(
                    "INSERT INTO record (tag, record_kind, done_on, result) VALUES (?, ?, ?, ?)", [tag, kind, *done]
                )
    with opened(path) as db:
        return run(db, load_pack(), today=TODAY)
