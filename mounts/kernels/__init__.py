"""Two kernels, written apart, that turn a recipe into a part; only they know how solids are made."""
