"""Recipes of parts as values: primitives, features, envelopes, and lofted surfaces as functions.

Takes outlines and frames of `geometry`, gives `Recipe` and `Scene` in the panel frame, mm.
It may import `geometry` and `identity`.
"""
