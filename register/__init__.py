"""startroll: a register of motors and their starting devices, audited by readable rules."""

__version__ = "0.2.0"
