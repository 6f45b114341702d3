"""What to collect next: every blank that verdicts wait for, with what an answer is worth, in order."""
