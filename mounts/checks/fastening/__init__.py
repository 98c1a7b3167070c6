"""Findings on fasteners of whatever kind: a screw in its joint, its length, what gives first under load.

It takes joints, links and masses, and gives findings. It may import `design/`; `checks/<kind>` import it.
"""
