"""Findings of the checks as values: codes, verdicts, clearances, walls, reports.

Takes values against limits, gives `Finding`s and `Report`s that writers and screens read.
It may import `geometry` and `identity`.
"""
