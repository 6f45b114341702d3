"""A register that holds one large fan, whose starts were worked out apart from the program."""

from pathlib import Path

from register.store.database import create, opened, writing

TAG = "F-650"
SITE = {
    "site": "Halvard Kiln Works",
    "practice": "iec",
    "site_frequency_hz": 60.0,
    "site_altitude_m": 100.0,
    "site_ambient_c": 35.0,
}
# fmt: off
ROWS = {
    "bus": dict(bus="SWB-1", bus_voltage_v=480, upstream_fault_mva=500, x_over_r=12,
                transformer_kva=2500, transformer_z_pct=5.75, transformer_x_over_r=8,
                dip_limit_pct=10, main_breaker_pickup_a=800, main_breaker_delay_s=12, bus_load_a=0),
    "position": dict(tag=TAG, description="Kiln exhaust fan", bus="SWB-1", area="Kiln",
                     load_kind="centrifugal fan", start_condition="loaded", load_curve="square",
                     load_breakaway_pct=12, load_torque_pct=90, load_inertia_kgm2=142,
                     cable_length_m=10, cable_r_ohm_per_km=0.12, cable_x_ohm_per_km=0.15),
    "motor": dict(motor="m650", tag=TAG, power_kw=650 * 0.7457, motor_voltage_v=460, phases=3,
                  motor_frequency_hz=60, poles=4, speed_rpm=1788, fla_a=715, efficiency_pct=95.8,
                  locked_rotor_ratio=6.2, locked_rotor_torque_pct=90, breakdown_torque_pct=200,
                  hot_stall_s=12, rotor_inertia_kgm2=10),
    "model": dict(model="S1200", device_kind="soft starter", rated_current_a=1200,
                  duty_code="AC-53b: 4-20 : 700"),
    "device": dict(device="d650", model="S1200", tag=TAG, device_status="in service"),
    "setting": dict(device="d650", setting_recorded_on="2026-03-02", start_mode="current limit",
                    current_limit_xfla=1.5, fla_set_a=715, device_overload_set_a=715,
                    device_trip_class="10"),
    "protection": dict(tag=TAG, overload_place="device"),
    "bypass": dict(tag=TAG, bypass_arrangement="two-contactor", bypass_starts_by="across-the-line"),
}
# fmt: on

DIRECT = {"start_mode": "direct"}
RAMP = {"start_mode": "voltage ramp", "initial_voltage_pct": "30", "ramp_s": "30"}
CLOSED = {"load_torque_pct": "45"}


def make(path: Path) -> Path:
    """The register in a new file."""
    create(path, SITE)
    with opened(path, write=True) as db, writing(db, reason="from the data sheets", author="mh"):
        for table, row in ROWS.items():
            db[table].insert(row)
    return path


def limit(xfla: float) -> dict[str, str]:
    return {"current_limit_xfla": str(xfla)}
