"""Findings on fasteners: screws, washers, torque, and the loads of a slammed door on them.

It takes a ring's job and plan, with the finished part where its mass counts, and gives findings. It may import
`kinds/ring` and `design/`; checks of other kinds share `joints`, `screws.length_findings` and `loads.load_finding`.
"""
