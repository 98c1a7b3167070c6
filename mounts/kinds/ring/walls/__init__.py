"""Walls of a ring that can be thin: every one with its limit, and round holes as rods in space.

It takes a ring's plan and its limits, and gives walls. It may import the ring's values, `geometry/` and `shape/`.
"""
