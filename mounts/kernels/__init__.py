"""Two kernels, written apart, that turn a recipe into a part, and what is measured on solids.

Takes a `Recipe` in the panel frame, mm, and gives a `Part`. The only place that imports CAD libraries.
It may import `shape`, `geometry`, `identity` and `errors`.
"""
