"""A ring made in two halves, for a bed that does not hold it whole: where it is split, its laps, its work steps.

It takes a ring's job and the plan of the whole ring, and gives a `Split` and the plan and drawing of each half. It may
import the ring's plan, values and walls; of the ring only `plan`, `shape` and `steps` stand beside it.
"""
