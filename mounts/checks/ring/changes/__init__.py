"""The search for a change of a ring's job that mends what it misses: tried on plans, the plainest first.

Takes a job, gives the lines of its file that mend it, and the job by these. Imports what plans a ring and what checks
its plan; reads nothing.
"""

from mounts.checks.ring.changes.poses import has_room
from mounts.checks.ring.changes.search import find_change, with_change

__all__ = ["find_change", "has_room", "with_change"]
