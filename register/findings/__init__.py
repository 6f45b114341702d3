"""What a run concluded, said so that someone can act on it."""
