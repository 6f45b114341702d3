"""What each command shows in a terminal."""
