"""What the register says round about a position: spares like its device, past events, firsts.

Counted from other tables when facts are built; nobody enters them.
"""

from __future__ import annotations

from dataclasses import replace

from register.columns.model import date, integer

AROUND = tuple(
    replace(column, table="around")
    for column in (
        integer("spares_in_store", "", 0, None, "devices in store of the installed type, or of its successor"),
        date("third_last_event_on", "day of the third latest failure, trip or repair here"),
        date("first_reviewed_on", "first review of the parameters since the device was installed"),
        date("settings_since_on", "day since which the start is set as it is, by the settings read"),
        date("first_bumped_on", "first bump test since the device was installed"),
    )
)
