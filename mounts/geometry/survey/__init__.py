"""Surveying: where holes are, from the distances that a caliper reads between them."""
