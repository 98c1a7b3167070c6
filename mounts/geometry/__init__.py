"""Plane and solid geometry, exact where it can be: outlines, hulls, frames, planes, triangles, fits, surveys.

Takes and gives plain values and numpy arrays, in mm and degrees; it knows neither speakers nor kernels.
It may import numpy and itself only.
"""
