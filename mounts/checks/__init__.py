"""Findings on a finished part: walls, clearances, loads, chances, printing.

The stage takes a job, its plan and the built part, and gives findings; it reads and writes no file. It may import
everything below it: `kinds/`, `kernels/`, `design/`, `geometry/`, `findings/`.
"""
