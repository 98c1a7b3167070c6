"""Room that a planned mount leaves, and what comes nearest to it, in closed form on the plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from mounts.findings.gap import Gap
from mounts.findings.report import Verdict, gravest
from mounts.findings.wall import Wall
from mounts.geometry.ties import least_of
from mounts.identity import Pair

OWN = ("clear.body-bore", "clear.hardware", "clear.bead")  # gaps that the plan makes as large as they need be


@dataclass(frozen=True, slots=True)
class Margin:
    """Least clearance of one mount, and what decides about it.

    Attributes:
        verdict: the gravest of all distances and walls.
        margin: least distance to anything in the vehicle, less what is wanted there, mm; of a mount that fails, by how
            much it breaks a limit, negative. None where nothing round it was measured.
        between: the two things.
        reading: path of the reading that it rests on; "" for none.
        sd: one standard deviation of the distance from that reading, mm; None for none.
        height: of the seat above the face, mm.
    """

    verdict: Verdict
    margin: float | None
    between: Pair | None
    reading: str
    sd: float | None
    height: float


def margin_from(gaps: Sequence[Gap], room: Sequence[Gap], walls: Iterable[Wall], height: float) -> Margin:
    """Return the margin of a mount from its gaps and walls.

    Args:
        gaps: all that may fail.
        room: those of them that are to something measured in the vehicle.
        walls: of the mount.
        height: of its seat above the face, mm.
    """
    thin = [wall for wall in walls if not wall.is_enough]
    failing = [gap for gap in gaps if gap.verdict is Verdict.FAIL]
    verdict = gravest([*(gap.verdict for gap in gaps), *(Verdict.FAIL for _ in thin)])
    if verdict is Verdict.FAIL:
        found = [(gap.gap - gap.least, gap.between, gap.reading, gap.sd) for gap in failing]
        found += [(wall.thickness - wall.limit, wall.between, "", None) for wall in thin]
    else:
        found = [(gap.gap - gap.wanted, gap.between, gap.reading, gap.sd) for gap in room]
    if not found:
        return Margin(verdict, None, None, "", None, height)
    margin, between, reading, sd = least_of(found, key=lambda one: one[0])
    return Margin(verdict, margin, between, reading, sd, height)
