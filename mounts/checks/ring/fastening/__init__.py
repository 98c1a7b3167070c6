"""Findings on a ring's fasteners: screws, washers, torque, and the loads of a slammed door on them.

It takes a ring's job and plan, with the finished part where its mass counts, and gives findings. It may import
`kinds/ring`, `design/` and `checks/fastening`.
"""
