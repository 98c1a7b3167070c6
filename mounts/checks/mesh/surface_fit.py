"""Pose of a mesh that was drawn or saved elsewhere, found by fitting its surface to the planned one.

For parts that have no pattern of holes: sleeves, cups, feet, boards, halves of rings. Sample points of both surfaces
are looked for on the other. The share of them that lie there rates a pose, and least squares of their distances refine
it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from mounts.checks.mesh.pose import HERE, LAID, base_frames, describe_turn, frame_transform, invert
from mounts.checks.mesh.skin import Skin
from mounts.checks.printing.patches import Surface
from mounts.geometry.frames import Array
from mounts.kernels.part import Part

NEAR = 0.3  # mm within which a place counts as lying on the other surface
FAR = 2.5  # mm within which it is looked for while the pose is not settled
ALIKE = 0.7  # least cosine between the normals of both
FITS = 0.4  # share of both surfaces that must lie on each other
SURE = 0.97  # so much, and nothing else is tried
ALSO = 0.02  # a pose that fits so little less is as good, and the earlier is taken
STEP = 5.0  # degrees between the turns that are tried
PLACES, FEW = 3000, 300  # on each surface: to rate a pose, and to choose among many
BEST, ROUNDS = 6, 30  # poses that are settled, and steps of it
HELD = 1e-3  # share of the stiffest motion under which one is taken for free, such as a round sleeve's turn
GIVEN = "by its surface"
OVER: Array = np.diag([1.0, -1.0, -1.0, 1.0])  # half a turn about x
MIRRORED = "none fits: it is the mirror image of the part; mirror it back in the program that saved it"
OTHER = "none fits: it is the mirror image; this is the part for the other side of the vehicle"
INCH, METRE = 25.4, 1000.0


@dataclass(frozen=True, slots=True, eq=False)
class _Scatter:
    """A surface with sample points all over it: points and normals (n, 3)."""

    skin: Skin
    points: Array
    normals: Array

    @staticmethod
    def over(part: Part) -> _Scatter:
        """Sample a part evenly by area, with the same points every time."""
        skin, rng = Skin.of(part), np.random.default_rng(0)
        share = np.cumsum(skin.area) / skin.area.sum()
        triangle = np.minimum(np.searchsorted(share, (np.arange(PLACES) + 0.5) / PLACES), len(share) - 1)
        triangle = triangle[rng.permutation(PLACES)]
        u, v = rng.random((2, PLACES))
        over = u + v > 1
        u, v = np.where(over, 1 - u, u), np.where(over, 1 - v, v)
        a, b, c = skin.corners[triangle].transpose(1, 0, 2)
        points = a + u[:, None] * (b - a) + v[:, None] * (c - a)
        return _Scatter(skin, points, skin.normals[triangle])

    def seen(self, points: Array, normals: Array, near: float) -> tuple[Array, Array]:
        """Return this surface's depth under points along their normals, (n,), nan off it; and its normals."""
        starts = points + near * normals
        triangle = self.skin.first_met(starts, -normals)
        far = self.skin.way_to(triangle, starts, -normals)
        facing = self.skin.normals[triangle]
        hit = (triangle >= 0) & (far < 2 * near) & (np.einsum("ij,ij->i", normals, facing) > ALIKE)
        return np.where(hit, far - near, np.nan), facing


@dataclass(frozen=True, slots=True, eq=False)
class SurfaceFit:
    """Pose of a mesh on its planned surface.

    Attributes:
        transform: rigid (4, 4), from the mesh's frame to the panel's; None when none fits.
        word: for it, such as "print pose", "panel frame", "by its surface, shifted" or "none fits: …".
        share: of both surfaces that lies on the other, the lesser of the two, 0 to 1.
    """

    transform: Array | None
    word: str
    share: float


def fit_surface(part: Part, planned: Part, pose: Array = HERE, *, sided: bool = False) -> SurfaceFit:
    """Return the pose of a loaded mesh against the part that was planned.

    The print pose and the panel frame are tried first; then either shifted and turned about z; then the mesh laid on
    its flat sides; then the same of its mirror image and at another scale, to say what is wrong.

    Args:
        part: of a mesh file.
        planned: what it should be, in the panel frame; the mesh kernel's will do.
        pose: rigid transform (4, 4) from the panel frame to the print pose.
        sided: whether there is another one for the vehicle's other side.
    """
    given, wanted = _Scatter.over(part), _Scatter.over(planned)
    found = _best(given, wanted, pose)
    if found.share >= SURE:
        return found
    mirrored = _best(given, _Scatter.over(_mirrored(planned)), pose)
    if mirrored.share > max(found.share, FITS) + ALSO:
        return SurfaceFit(None, OTHER if sided else MIRRORED, found.share)
    if found.share < FITS:
        return SurfaceFit(None, f"none fits: {_why(part, planned, found.share)}", found.share)
    return found


def _best(given: _Scatter, wanted: _Scatter, pose: Array) -> SurfaceFit:
    """Return the pose with the largest common share of both surfaces; of equal ones the first that is tried."""
    exact = [(invert(pose), "print pose"), (HERE, "panel frame")]
    fits = [SurfaceFit(transform, word, _share(given, wanted, transform, NEAR)) for transform, word in exact]
    if max(fit.share for fit in fits) < SURE:
        tried = [
            (-round(_share(given, wanted, transform, FAR, FEW) / ALSO), transform, word)
            for transform, word in _tries(given.skin.part, wanted.skin.part, pose)
        ]
        tried.sort(key=lambda one: one[0])
        for _, rough, word in tried[:BEST]:
            settled = _settled(given, wanted, rough)
            fits.append(SurfaceFit(settled, word or _word(pose, settled), _share(given, wanted, settled, NEAR)))
    most = max(fit.share for fit in fits)
    return next(fit for fit in fits if fit.share >= most - ALSO)


def _tries(part: Part, planned: Part, pose: Array) -> Iterator[tuple[Array, str]]:
    """Yield rough poses: as it stands, as printed or drawn, and on each flat side; turned, its box in place.

    Where the part is higher than planned its lower and its upper side are tried in place.
    """
    ends = _box(planned.vertices)
    sides = [frame_transform(frame) for frame in base_frames(Surface(part))]
    lying = [(way, f"{GIVEN}, {LAID}") for side in sides for way in (side, OVER @ side)]
    for base, word in ((invert(pose), ""), (HERE, ""), *lying):
        for turn in sorted(np.arange(-180 + STEP, 180 + STEP / 2, STEP), key=abs):
            turned = _about_z(turn) @ base
            low, high = _box(part.vertices @ turned[:3, :3].T)
            aside = (ends.sum(axis=0) - low - high)[:2] / 2
            heights = (ends[0, 2] - low[2], ends[1, 2] - high[2])
            for up in heights[: 1 + (abs(heights[0] - heights[1]) > NEAR)]:
                transform = turned.copy()
                transform[:3, 3] = (*aside, up)
                yield transform, word


def _settled(given: _Scatter, wanted: _Scatter, transform: Array) -> Array:
    """Return a pose refined by least squares of the seen points' distances along the planned normals."""
    for near in np.geomspace(FAR, NEAR, ROUNDS):
        points, normals = _moved(given, transform)
        off, facing = wanted.seen(points, normals, near)
        hit = np.isfinite(off)
        if hit.sum() < FEW:
            break
        middle = points[hit].mean(axis=0)
        lever = np.linalg.norm(points[hit] - middle, axis=1).mean()
        along = np.einsum("ij,ij->i", facing[hit], -off[hit, None] * normals[hit])
        rows = np.hstack([np.cross((points[hit] - middle) / lever, facing[hit]), facing[hit]])
        step = np.linalg.lstsq(rows, along, rcond=HELD)[0]
        transform = _stepped(step[:3] / lever, step[3:], middle) @ transform
    return transform


def _stepped(turn: Array, shift: Array, middle: Array) -> Array:
    """Return a small turn about a place (rotation vector, radians) and a shift as a rigid transform (4, 4)."""
    angle = float(np.linalg.norm(turn))
    x, y, z = turn / max(angle, 1e-12)
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    found: Array = np.eye(4)
    found[:3, :3] += np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross
    found[:3, 3] = middle + shift - found[:3, :3] @ middle
    return found


def _share(given: _Scatter, wanted: _Scatter, transform: Array, near: float, count: int = PLACES) -> float:
    """Return the share of the points of either surface that lie on the other, the lesser of the two."""
    points, normals = _moved(given, transform, count)
    there = np.isfinite(wanted.seen(points, normals, near)[0]).mean()
    points, normals = _moved(wanted, invert(transform), count)
    return float(min(there, np.isfinite(given.seen(points, normals, near)[0]).mean()))


def _moved(scatter: _Scatter, transform: Array, count: int = PLACES) -> tuple[Array, Array]:
    turn = transform[:3, :3].T
    return scatter.points[:count] @ turn + transform[:3, 3], scatter.normals[:count] @ turn


def _word(pose: Array, transform: Array) -> str:
    """Return how an upright part was shifted and turned, from the print pose or the panel frame, in words."""
    poses = [pose @ transform, transform]
    upright = max(poses, key=lambda one: float(one[2, 2]))
    return describe_turn(float(np.degrees(np.arctan2(upright[1, 0], upright[0, 0]))), GIVEN)


def _mirrored(part: Part) -> Part:
    """Return the part for the other side of the vehicle."""
    return replace(part, vertices=part.vertices * [-1.0, 1.0, 1.0], triangles=part.triangles[:, ::-1])


def _why(part: Part, planned: Part, share: float) -> str:
    """Return why no pose fits, as far as sizes show."""
    own, wanted = (np.sort(np.ptp(one.vertices, axis=0)) for one in (part, planned))
    for scale in (INCH, 1 / INCH, METRE, 1 / METRE):
        if np.allclose(own * scale, wanted, rtol=0.05, atol=0.0):
            return f"its surface would at a scale of {scale:.4g}"
    sizes = (" × ".join(f"{size:.1f}" for size in sizes) for sizes in (own, wanted))
    return "it is {} large, the job's part {}; at best {:.0f} % of its surface lies in place".format(
        *sizes, 100 * share
    )


def _box(points: Array) -> Array:
    return np.array([points.min(axis=0), points.max(axis=0)])


def _about_z(turn: float) -> Array:
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    found: Array = np.eye(4)
    found[:2, :2] = [[c, -s], [s, c]]
    return found
