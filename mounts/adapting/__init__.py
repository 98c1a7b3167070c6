"""Adaptation of a job to another speaker: the new file, what changes against the old part, and what of that could stay.

Takes one job a side and the name of a speaker; gives an `Adaptation`, its files, and texts for screen and JSON.
It stands above the pipeline and may import all below it.
"""
