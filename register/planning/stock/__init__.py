"""What a store holds and should hold."""
