"""The virtual assembly: the finished mesh among the envelopes of the things round it, measured pair by pair.

Distances between two envelopes are taken from meshes so fine that their chords do not matter (FINE segments: 0.0003 mm
at 60 mm from the axis); the part is taken as it will be printed, with the sag of its own triangles.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import manifold3d
import numpy as np
from manifold3d import Manifold

from mounts.findings.gap import Gap
from mounts.findings.report import Finding, Verdict
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.shape.recipe import Envelope

FINE, COARSE = 1024, 128  # segments, for pairs near their limit and far from it
NEAR = 3.0  # mm over its limit, up to which a pair is measured finely
AGREE = 0.05  # mm by which plan and mesh may differ; the triangles' sag is 0.02
BEYOND = 2.0  # mm that a distance is searched beyond what the plan says
NOTHING = 1e-3  # mm³: an overlap smaller than this is rounding


@dataclass(frozen=True, slots=True, eq=False)
class Assembly:
    """A part and the envelopes round it by name, as solids for measuring.

    Attributes:
        part: the finished mesh.
        things: each thing's solid, coarse and fine.
    """

    part: Manifold
    things: Mapping[str, tuple[Manifold, Manifold]]

    def solid(self, name: str, *, fine: bool) -> Manifold:
        """The solid that goes by a name; a name that is no thing's is the part or a place on it."""
        found = self.things.get(name)
        return self.part if found is None else found[fine]


def assembled(part: Part, envelopes: Iterable[Envelope]) -> Assembly:
    """The part and all envelopes made solid."""
    whole = manifold3d.Mesh64(np.ascontiguousarray(part.vertices), part.triangles.astype(np.uint64))
    things = {e.name: (mesh.union(e.bodies, COARSE), mesh.union(e.bodies, FINE)) for e in envelopes}
    return Assembly(Manifold(whole), things)


def measured(assembly: Assembly, gaps: Sequence[Gap]) -> tuple[Gap, ...]:
    """The gaps, each with what the assembly shows; of several between the same two solids the tightest has it."""
    found = list(gaps)
    for pair in {_solids(assembly, gap) for gap in gaps}:
        same = [k for k, gap in enumerate(gaps) if _solids(assembly, gap) == pair]
        tightest = min(same, key=lambda k: gaps[k].gap)
        found[tightest] = _measured(assembly, gaps[tightest])
    return tuple(found)


def _measured(assembly: Assembly, gap: Gap) -> Gap:
    apart = _distance(assembly, gap)
    if apart > 0:
        return replace(gap, measured=apart)
    shared = overlap(assembly, *gap.between)
    return replace(gap, overlap=shared) if shared else replace(gap, measured=0.0)


def overlap(assembly: Assembly, one: str, other: str) -> float:
    """Volume that two solids share, mm³."""
    volume = (assembly.solid(one, fine=True) ^ assembly.solid(other, fine=True)).volume()
    return volume if volume > NOTHING else 0.0


def disagreements(gaps: Iterable[Gap]) -> tuple[Finding, ...]:
    """A finding for every gap of which plan and mesh say different things."""
    return tuple(
        Finding(
            code="clear.disagreement",
            verdict=Verdict.FAIL,
            what=f"{gap.between[0]} to {gap.between[1]}: plan and mesh differ",
            measured=gap.measured,
            closed_form=gap.gap,
            limit=AGREE,
            at=gap.at,
            between=gap.between,
            source="sag of the triangles",
            advice="do not print this part: the mesh is not what was planned; report it with the job's file",
        )
        for gap in gaps
        if _differs(gap)
    )


def _differs(gap: Gap) -> bool:
    """Whether the mesh shows another distance than the plan, or an interference that the plan does not know of."""
    if gap.measured is None:
        return gap.overlap > 0 and gap.gap > AGREE
    more = gap.measured - max(gap.gap, 0.0)
    return more < -AGREE if gap.bound else abs(more) > AGREE


def _solids(assembly: Assembly, gap: Gap) -> tuple[str, str]:
    one, other = gap.between
    return (one if one in assembly.things else "", other if other in assembly.things else "")


def _distance(assembly: Assembly, gap: Gap) -> float:
    """Least distance of a gap's two solids, searched no further than needed; 0 when they meet."""
    fine = gap.gap < gap.wanted + NEAR
    one, other = (assembly.solid(name, fine=fine) for name in gap.between)
    return float(one.min_gap(other, max(gap.gap, 0.0) + BEYOND))
