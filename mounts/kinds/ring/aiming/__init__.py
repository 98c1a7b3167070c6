"""Search for the pose of a ring's seat: tilt, direction, height and offset chosen together.

It takes a job whose pose is open, with a function that draws a ring at a pose, and gives a `Choice`. It may import
`design/`, `geometry/` and the ring's closed forms (`height`, `rooms`, `trim`, `walls`), no kernel and no check.
"""
