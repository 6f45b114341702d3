"""Why SQLite could not go on with a register, in words, with what to do."""

from __future__ import annotations

# By the name of SQLite's error: cause and remedy.
TROUBLE = {
    "BUSY": ("another program is writing to it", "close that one, or try again in a minute"),
    "FULL": ("the disk is full", "make room; nothing was changed"),
    "READONLY": (
        "it, or its folder, is protected from writing",
        "allow writing to both, or work on a copy: startroll backup COPY",
    ),
    "READONLY_ROLLBACK": (
        "a write to it was cut off and has to be undone first, or another computer is writing to it",
        "wait for that one; else allow writing to it and its folder, or copy it with its -journal to a local disk; then"
        " do this again",
    ),
    "CANTOPEN": (
        "it cannot be opened, or its folder cannot be written",
        "check that the folder is there and can be written",
    ),
    "IOERR": ("the disk cannot be read or written", "check the disk, then by startroll history whether it was written"),
}


def trouble(error: Exception) -> tuple[str, str] | None:
    """Cause and remedy of an error that lies with the file's place, not with what it holds; None for any other."""
    name = getattr(error, "sqlite_errorname", "").removeprefix("SQLITE_")
    return TROUBLE.get(name) or TROUBLE.get(name.split("_")[0])
