"""The rules: read, checked, run, explained; handed a connection, it knows no register."""
