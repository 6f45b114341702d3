"""The named views: what other programs ask of a register, in one line of SQL each.

They are read by nothing in this program: they are for people with a database browser, a notebook or a report tool.
`docs/views.md` is written from here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class View:
    """One view: its sentence says what a row is; `words` explain the columns that the dictionary does not have."""

    name: str
    sentence: str
    sql: str
    words: Mapping[str, str] = field(default_factory=dict)


VIEWS = (
    View(
        "positions_overview",
        "a position with its bus, its motor and its starting device",
        """
SELECT position.tag, description, area, bus, cubicle, criticality, standby, load_kind, motor, motor_maker, power_kw,
    motor_voltage_v, fla_a, poles, frame, motor_installed_on, device, model, model_maker, device_kind, rated_current_a,
    lifecycle, device_status, device_installed_on, position_notes
FROM position
LEFT JOIN motor ON motor.tag = position.tag AND motor_status IS NOT 'scrapped'
LEFT JOIN device ON device.tag = position.tag AND device_status IS NOT 'scrapped'
LEFT JOIN model USING (model)""",
    ),
    View(
        "findings_open",
        "a finding of the last kept audit that no concession accepts, with who corrects it and by when",
        """
SELECT finding.tag, detail ->> '$.place.area' AS area, detail ->> '$.place.criticality' AS criticality, grade, rule,
    detail ->> '$.title' AS title, detail ->> '$.sentence' AS sentence, margin,
    detail ->> '$.margin_unit' AS margin_unit, provisional, assigned_to, due_on, today AS audited_on
FROM finding JOIN audit USING (audit_id)
LEFT JOIN action ON against_rule = rule AND closed_on IS NULL AND finding.tag = CASE detail ->> '$.subject'
    WHEN 'bus' THEN action.bus WHEN 'device in store' THEN action.device ELSE action.tag END
WHERE audit_id = (SELECT max(audit_id) FROM audit) AND detail ->> '$.concession.status' IS NOT 'used'""",
        {
            "grade": "major, minor or observation",
            "margin": "distance from the limit; negative where it is exceeded",
            "margin_unit": "unit of the margin",
            "title": "the rule's title",
            "sentence": "what is wrong, with its values",
            "provisional": "yes where the finding assumes a value",
            "audited_on": "day as of which it was judged",
        },
    ),
    View(
        "data_to_collect",
        "a field that nobody has entered for a position, and the calculated values that wait for it",
        # A reason names its fields in one text, 'power_kw, poles': taken apart, each counts for itself.
        """
SELECT tag, area, field.value AS field, count(*) AS values_waiting, group_concat(column_name, ', ') AS waiting
FROM gap JOIN position USING (tag), json_each('["' || replace(fields, ', ', '","') || '"]') AS field
WHERE fields <> '' GROUP BY tag, field.value""",
        {
            "field": "column to enter",
            "values_waiting": "number of calculated values that wait for it",
            "waiting": "which",
        },
    ),
    View(
        "settings_latest",
        "the settings of an installed device as last read, beside the motor's full-load current",
        """
SELECT device.tag, model, fla_a, setting.*
FROM setting JOIN device USING (device)
LEFT JOIN motor ON motor.tag = device.tag AND motor_status IS NOT 'scrapped'
WHERE device.tag IS NOT NULL AND device_status IS NOT 'scrapped' AND setting_recorded_on =
    (SELECT max(other.setting_recorded_on) FROM setting AS other WHERE other.device = setting.device)""",
    ),
    View(
        "spares_in_store",
        "a model with devices in store, and the positions where a device of this model is installed",
        """
SELECT model, model_maker, device_kind, rated_current_a, lifecycle, spare_part_number,
    count(*) FILTER (WHERE device_status = 'in store') AS in_store, min(stored_since) AS stored_since,
    count(tag) FILTER (WHERE device_status IS NOT 'scrapped') AS positions
FROM device JOIN model USING (model) GROUP BY model HAVING in_store > 0""",
        {
            "in_store": "devices in store",
            "positions": "positions where a device of this model is installed",
            "stored_since": "day the first of them went into store",
        },
    ),
    View(
        "history_plain",
        "one value that changed (or, without a column, a row that came or went): when, by whom, why",
        # An edit by another program belongs to no change-set: author and reason stay blank.
        """
SELECT at, author, reason, source_file, tag, table_name, row_key, action, each.key AS column_name,
    (SELECT old.value FROM json_each(before) AS old WHERE old.key = each.key) AS value_before,
    each.value AS value_after
FROM change LEFT JOIN change_set USING (change_set)
LEFT JOIN json_each(CASE WHEN action NOT IN ('insert', 'delete') THEN after END) AS each""",
        {
            "at": "moment of the change, UTC",
            "author": "who made it",
            "reason": "why",
            "source_file": "the list it came from",
            "tag": "position concerned",
            "table_name": "table",
            "row_key": "key of the row",
            "action": "insert, update or delete; of what was taken back and altered nothing: confirmed or kept",
            "column_name": "column that changed",
            "value_before": "value before",
            "value_after": "value after",
        },
    ),
    View(
        "records_latest",
        "the latest record of each kind at a position or of a lineup",
        """
SELECT tag, bus, record_kind, done_on, done_by, result, value, value_unit, note
FROM (SELECT *, row_number() OVER (PARTITION BY tag, bus, record_kind ORDER BY done_on DESC, record_id DESC) AS nth
    FROM record) WHERE nth = 1""",
    ),
    View(
        "models_withdrawn",
        "a model that can no longer be bought, or soon cannot, and is installed: where, and what replaces it",
        """
SELECT model, model_maker, device_kind, lifecycle, successor,
    count(tag) FILTER (WHERE device_status IS NOT 'scrapped') AS positions,
    group_concat(tag, ', ') FILTER (WHERE device_status IS NOT 'scrapped') AS tags,
    count(*) FILTER (WHERE device_status = 'in store') AS in_store
FROM model JOIN device USING (model) WHERE lifecycle <> 'current' GROUP BY model HAVING positions > 0""",
        {
            "positions": "positions where a device of this model is installed",
            "tags": "which",
            "in_store": "devices in store",
        },
    ),
)
