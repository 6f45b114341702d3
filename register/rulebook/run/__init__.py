"""Rules evaluated over facts, and their verdicts explained."""
