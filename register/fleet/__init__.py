"""Many plants: what their registers tell together."""
