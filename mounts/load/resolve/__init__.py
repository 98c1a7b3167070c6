"""Resolving of a file's data into frozen jobs, kits and readings: references, surveys, contradictions.

Takes a path and a library; gives one job a side in that side's own hand, or every error at once. May import `parse/`,
`models/`, `catalogue/`, `formats/`, `geometry/` and the declarations of the mount kinds; numpy only where it is needed.
"""
