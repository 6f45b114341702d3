"""Rounds: what is asked in the plant, in which order, and the file that brings the answers back."""
