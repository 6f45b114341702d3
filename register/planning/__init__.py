"""When a starter fails, and before: what goes in its place, how it is set, what is planned."""
