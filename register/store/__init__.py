"""The SQLite register: tables, history, backup."""

import sys

# sqlite-utils loads these where they are installed, to know their types, of which nothing is ever entered. Pandas takes
# longer than most commands, and what only looks a position up need not wait for numpy either.
_HIDDEN = [name for name in ("numpy", "pandas") if name not in sys.modules]
sys.modules |= dict.fromkeys(_HIDDEN)  # type: ignore[arg-type]
import sqlite_utils  # noqa: E402, F401

for _name in _HIDDEN:
    del sys.modules[_name]
