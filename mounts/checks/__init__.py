"""Findings about the world: a wall, a gap, a load, a chance."""
