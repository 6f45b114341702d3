"""A photograph of a motor's nameplate: the text on it, the values that it proposes, what a person accepts of them."""
