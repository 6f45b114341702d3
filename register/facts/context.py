"""SQL of what is counted round about a position, as columns of its base row."""

from __future__ import annotations

# Devices in store, counted once for each model: those of the installed one, and of the one that replaces it.
_IN_STORE = "(SELECT model, count(*) AS held FROM device WHERE device_status = 'in store' GROUP BY model)"
JOINS = f"""LEFT JOIN {_IN_STORE} AS of_model ON of_model.model = device.model
LEFT JOIN {_IN_STORE} AS of_successor ON of_successor.model = model.successor AND model.successor <> device.model"""
_SPARES = "COALESCE(of_model.held, 0) + COALESCE(of_successor.held, 0)"
# No spare is known only where the store is in the register, all of it with a type.
_STORE_KNOWN = """EXISTS (SELECT 1 FROM device WHERE device_status = 'in store')
    AND NOT EXISTS (SELECT 1 FROM device WHERE tag IS NULL AND (device_status IS NULL
        OR device_status = 'in store' AND (model IS NULL OR model GLOB 'unidentified model*')))"""


def _first(kind: str) -> str:
    """Day of the first record of a kind that came out, since the device was installed."""
    return (
        "(SELECT min(done_on) FROM record WHERE record.tag = position.tag"
        f" AND record_kind = '{kind}' AND result <> 'not done'"
        " AND done_on >= device.device_installed_on)"
    )


# What a start depends on, of a device's settings.
_START_SETTINGS = (
    "start_mode",
    "initial_voltage_pct",
    "tap_pct",
    "ramp_s",
    "current_limit_xfla",
    "transition_s",
    "initial_torque_pct",
    "final_torque_pct",
    "after_torque_ramp",
    "fla_set_a",
)


def _settings_since() -> str:
    """Day of the first reading since which all that a start depends on is set as it is now."""
    other = " OR ".join(f"older.{name} IS NOT setting.{name}" for name in _START_SETTINGS)
    last_other = (
        f"SELECT max(older.setting_recorded_on) FROM setting AS older WHERE older.device = device.device AND ({other})"
    )
    return (
        "COALESCE((SELECT min(same.setting_recorded_on) FROM setting AS same WHERE same.device = device.device"
        f" AND same.setting_recorded_on > COALESCE(({last_other}), '')), device.device_installed_on)"
    )


SQL: dict[str, str] = {
    "spares_in_store": f"""CASE
    WHEN device.model GLOB 'unidentified model*' THEN NULL
    WHEN {_SPARES} > 0 THEN {_SPARES}
    WHEN device.model IS NOT NULL AND {_STORE_KNOWN}
        AND (model.successor IS NOT NULL OR model.lifecycle = 'current') THEN 0 END""",
    "third_last_event_on": "(SELECT happened_on FROM event WHERE event.tag = position.tag"
    " ORDER BY happened_on DESC LIMIT 1 OFFSET 2)",
    "first_reviewed_on": _first("parameters reviewed"),
    "first_bumped_on": _first("bump test"),
    "settings_since_on": _settings_since(),
}
