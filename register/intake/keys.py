"""By which key a row of a sheet is known in each table, serials that nobody has read included."""

from __future__ import annotations

from typing import Any

from register.columns import TABLES
from register.intake.match import ASSETS, Residents
from register.intake.plan import Key
from register.intake.taken import Taken

OF_A_POSITION = ("protection", "bypass", "control")
Values = dict[str, Any]


class Keys:
    """Keys of one table's rows in one sheet; `of` fills the key into the row's values."""

    def __init__(self, table: str, taken: Taken, residents: Residents) -> None:
        self._table, self._taken, self._residents = table, taken, residents
        self._tags = self._column("tag")
        self._devices = self._column("device")
        self._model = self._own("model")
        self._setting = self._own("setting")
        kinds = dict.fromkeys(ASSETS, self._asset)
        kinds |= dict.fromkeys(("position", *OF_A_POSITION), self._of_position)
        kinds |= {"model": self._of_model, "setting": self._of_setting}
        self._key = kinds.get(table, self._plain)

    def of(self, index: int, says: bool, values: Values) -> Key | None:
        """The key of a row; None when the row says nothing about this table."""
        return self._key(index, says, values)

    def _column(self, name: str) -> list[Any]:
        read = self._taken.reads.get(name)
        return read.values if read else [None] * len(self._taken.body.rows)

    def _own(self, table: str) -> list[list[Any]]:
        """The columns of a table in this sheet, its keys aside."""
        names = [c.name for c in TABLES[table].columns if c.name not in ("model", "device")]
        return [self._taken.reads[n].values for n in names if n in self._taken.reads]

    def _asset(self, index: int, says: bool, values: Values) -> Key | None:
        name, tag = self._table, self._tags[index]
        is_device = name == "device"
        kind_known = is_device and any(c[index] is not None for c in self._model)
        serial = values.get(name)
        if serial is None:
            set_up = is_device and any(c[index] is not None for c in self._setting)
            if tag is None or not (says or kind_known or set_up or "model" in values):
                return None
            serial = values[name] = self._residents.serial(name, tag)
        if kind_known and "model" not in values:
            values["model"] = self._residents.model(serial, tag or serial)
        return (serial,)

    def _of_model(self, index: int, says: bool, values: Values) -> Key | None:
        if "model" not in values:
            tag, device = self._tags[index], self._devices[index]
            if not says or (tag is None and device is None):
                return None
            device = device or self._residents.serial("device", tag)
            values["model"] = self._residents.model(device, tag or device)
        return (values["model"],)

    def _of_setting(self, index: int, says: bool, values: Values) -> Key | None:
        if not says:
            return None
        if "device" not in values and self._tags[index] is not None:
            values["device"] = self._residents.serial("device", self._tags[index])
        day = values.get("setting_recorded_on")
        if day is not None and "device" in values:
            return (values["device"], day)
        lacks = "day the settings were read" if "device" in values else "device or tag"
        self._taken.refuse("", index, "", f"settings without the {lacks}", "fill it in for this row")
        return None

    def _of_position(self, index: int, says: bool, values: Values) -> Key | None:
        values["tag"] = tag = self._tags[index]
        return (tag,) if tag is not None and (says or self._table == "position") else None

    def _plain(self, index: int, says: bool, values: Values) -> Key | None:
        key = tuple(values.get(part) for part in TABLES[self._table].key)
        return None if None in key else key
