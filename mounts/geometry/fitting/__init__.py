"""Orthogonal least-squares fits of outlines to points along a rim.

Takes points (n, 2) in mm and their standard deviation, gives a `RimFit`; it may import numpy and geometry only.
"""
