"""The study of starts: one position, a window of limits, the whole plant, a bus that comes back."""
