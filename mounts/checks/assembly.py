"""Virtual assembly: the finished mesh among the envelopes of the things round it, measured pair by pair.

Distances between two envelopes are taken from meshes so fine that their chords do not matter (FINE segments: 0.0003 mm
at 60 mm from the axis); the part is taken as it will be printed, with the sag of its own triangles.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

import manifold3d
import numpy as np
from manifold3d import Manifold, OpType

from mounts.findings.compare import AGREE, state
from mounts.findings.gap import Gap
from mounts.findings.report import Finding, Verdict
from mounts.geometry.ties import least_of
from mounts.identity import MOUNT, Ident, Pair
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.shape.recipe import Envelope

FINE, COARSE = 1024, 128  # segments, for pairs near their limit and far from it
NEAR = 3.0  # mm over its limit, up to which a pair is measured finely
BEYOND = 2.0  # mm that a distance is searched beyond what the plan says
NOTHING = 1e-3  # mm³: an overlap smaller than this is rounding


Solids = tuple[Manifold, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Assembly:
    """A part and the envelopes round it by identity, as solids for measuring.

    A thing of several bodies is kept as those: bodies that share nothing with the part need not be joined first, and
    thirty poses of a trim on its way take seconds to join.

    Attributes:
        part: the finished mesh.
        things: each thing's solids, coarse and fine.
    """

    part: Manifold
    things: Mapping[Ident, tuple[Solids, Solids]]

    def solids(self, ident: Ident, *, fine: bool) -> Solids:
        """Return the solids of a thing, or the part for an identity that is no thing's."""
        found = self.things.get(ident)
        return (self.part,) if found is None else found[fine]


def assemble(part: Part, envelopes: Iterable[Envelope]) -> Assembly:
    """Return the part and all envelopes as solids."""
    whole = manifold3d.Mesh64(np.ascontiguousarray(part.vertices), part.triangles.astype(np.uint64))
    things = {e.ident: (_solids_of(e, COARSE), _solids_of(e, FINE)) for e in envelopes}
    return Assembly(Manifold(whole), things)


def _solids_of(envelope: Envelope, segments: int) -> Solids:
    return tuple(mesh.solid(body, segments) for body in envelope.bodies)


def measure_gaps(assembly: Assembly, gaps: Sequence[Gap]) -> tuple[Gap, ...]:
    """Return the gaps with the distances measured in the assembly; of several between two solids, the tightest."""
    found = list(gaps)
    for pair in {_solids(assembly, gap) for gap in gaps}:
        same = [k for k, gap in enumerate(gaps) if _solids(assembly, gap) == pair]
        tightest = least_of(same, key=lambda k: gaps[k].gap)
        found[tightest] = _measured(assembly, gaps[tightest])
    return tuple(found)


def _measured(assembly: Assembly, gap: Gap) -> Gap:
    """Return a gap with its measured distance; a planned interference is measured as overlap at once."""
    apart = 0.0 if gap.gap < 0 else _distance(assembly, gap)
    if apart > 0:
        return replace(gap, measured=apart)
    shared = overlap_volume(assembly, *gap.between)
    return replace(gap, overlap=shared) if shared else replace(gap, measured=_distance(assembly, gap))


def overlap_volume(assembly: Assembly, one: Ident, other: Ident) -> float:
    """Compute the volume that two solids share, mm³.

    It asks manifold3d itself: `trimesh.boolean.intersection` hands the same engine its vertices as float32, 4e-6 mm off
    at 100 mm. Two cubes of 100 mm, one of them moved by 99.999999 mm, share 0.01 mm³, ten times NOTHING; by trimesh
    they share nothing.
    """
    first, second = (assembly.solids(ident, fine=True) for ident in (one, other))
    shared = [a ^ b for a, b in product(first, second)]
    volume = Manifold.batch_boolean([some for some in shared if not some.is_empty()], OpType.Add).volume()
    return volume if volume > NOTHING else 0.0


def disagreements(gaps: Iterable[Gap]) -> tuple[Finding, ...]:
    """Return a finding for every gap whose planned and measured distances differ."""
    return tuple(
        state(
            "clear.disagreement",
            Verdict.FAIL,
            f"{gap.between[0]} to {gap.between[1]}: plan and mesh differ",
            gap.gap,
            gap.gap + (AGREE if gap.measured is not None and gap.measured > gap.gap else -AGREE),
            measured=gap.measured,
            at=gap.at,
            between=gap.between,
            source="sag of the triangles",
            advice="do not print this part: the mesh is not what was planned; report this with the job's file",
        )
        for gap in gaps
        if _differs(gap)
    )


def _differs(gap: Gap) -> bool:
    """Return whether the mesh shows another distance than the plan, or an interference that it does not know of."""
    if gap.measured is None:
        return gap.overlap > 0 and gap.gap > AGREE
    more = gap.measured - max(gap.gap, 0.0)
    return more < -AGREE if gap.bound else abs(more) > AGREE


def _solids(assembly: Assembly, gap: Gap) -> Pair:
    one, other = gap.between
    return (one if one in assembly.things else MOUNT, other if other in assembly.things else MOUNT)


def _distance(assembly: Assembly, gap: Gap) -> float:
    """Return the least distance of a gap's two solids, mm, searched no further than needed; 0 when they meet."""
    fine = gap.gap < gap.wanted + NEAR
    first, second = (assembly.solids(ident, fine=fine) for ident in gap.between)
    least = max(gap.gap, 0.0) + BEYOND
    for one, other in product(first, second):
        least = min(least, float(one.min_gap(other, least)))
    return least
