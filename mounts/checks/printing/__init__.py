"""Printing of a part: pose, overhang, bridges, first layer, least feature, bed.

It takes a part, its printer and its print pose, and gives findings. It may import `geometry/`, `kernels/part` and
`findings/`, and of plans only their lettering.
"""
