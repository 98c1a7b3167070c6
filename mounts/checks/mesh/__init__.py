"""Findings on a finished mesh: soundness, walls, and where it stands.

It takes a part, with a plan's walls or without, and gives findings and places. It may import `kernels/part`,
`geometry/` and `findings/`; `place` alone knows a ring's plan.
"""
