"""Rules and limits read from their files, every mistake with its place."""
