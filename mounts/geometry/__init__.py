"""Plane outlines and frames: exact, and knowing neither speakers nor kernels."""
