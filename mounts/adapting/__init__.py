"""A job for another speaker: the new file, what changes against the old part, and what of that could stay."""
