"""The SQLite register: tables, history, backup."""

import sys

# sqlite-utils loads numpy where it is installed, to know its types, of which nothing is ever entered. What only looks
# a position up need not wait for it.
_HIDDEN = [name for name in ("numpy",) if name not in sys.modules]
sys.modules |= dict.fromkeys(_HIDDEN)  # type: ignore[arg-type]
import sqlite_utils  # noqa: E402, F401

for _name in _HIDDEN:
    del sys.modules[_name]
