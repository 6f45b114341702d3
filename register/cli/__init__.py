"""The commands: parse, call one library function, show."""
