"""Closed outlines through points that were read along a rim, each by least distances at right angles to it."""
