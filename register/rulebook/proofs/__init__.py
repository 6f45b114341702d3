"""What is proved of the rules themselves."""
