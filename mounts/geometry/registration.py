"""Registration of one point pattern on another by a rigid motion, mirrored or not, whatever their order and origin.

Pure Python: patterns have a dozen points at most, and looking through a library must not wait for numpy.
Source: Kabsch 1976 and Umeyama, IEEE PAMI 13 (1991) 376-380, least squares in the plane and without scale, where a
point is a complex number and the rotation the argument of one sum.
"""

from __future__ import annotations

import cmath
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, permutations
from math import degrees, dist, hypot, radians

from mounts.geometry.ties import MARGIN, sort_with_ties

Point = tuple[float, float]
Pairs = tuple[tuple[int, int], ...]
Plane = list[complex]  # points as complex numbers

SEED = 2.0  # times the tolerance by which a point may miss its partner before the motion is settled
ROUNDS = 4  # of pairing and fitting again


@dataclass(frozen=True, slots=True)
class Motion:
    """Rigid motion of the plane: perhaps a mirror (x → −x), then a rotation about the origin, then a translation.

    Attributes:
        mirrored: whether it begins with the mirror.
        turn: degrees clockwise, −180 < turn ≤ 180.
        shift: mm.
    """

    mirrored: bool = False
    turn: float = 0.0
    shift: Point = (0.0, 0.0)

    def moved(self, point: Point) -> Point:
        """Return the image of a point.

        >>> Motion(shift=(1.0, 2.0)).moved((3.0, 4.0))
        (4.0, 6.0)
        """
        there = cmath.rect(1.0, -radians(self.turn)) * _as_complex([point], mirrored=self.mirrored)[0]
        there += complex(*self.shift)
        return (there.real, there.imag)


@dataclass(frozen=True, slots=True)
class Registration:
    """One pattern laid on another.

    Attributes:
        motion: carries the first pattern onto the second.
        pairs: indices of the points of both that lie on each other, in the first pattern's order.
        residuals: residual of each pair as (x, y) of first less second, mm.
    """

    motion: Motion
    pairs: Pairs
    residuals: tuple[Point, ...]

    @property
    def worst(self) -> float:
        """Greatest residual, mm."""
        return max(hypot(*away) for away in self.residuals)

    @property
    def sum_of_squares(self) -> float:
        """Sum of the squared residuals, mm²."""
        return sum(x * x + y * y for x, y in self.residuals)


def find_registrations(
    points: Sequence[Point], onto: Sequence[Point], within: float, fewest: int
) -> list[Registration]:
    """Return every way in which a pattern lies on another: those with the most pairs first, then by worst residual.

    Args:
        points: one pattern.
        onto: the other.
        within: greatest distance of a pair, mm.
        fewest: number of pairs at least; 2 or more.
    """
    there = _as_complex(onto)
    hands = {mirrored: _as_complex(points, mirrored=mirrored) for mirrored in (False, True)}
    found: dict[tuple[bool, Pairs], Registration] = {}
    for pairs in _seeds(points, onto, within, fewest):
        for mirrored in _mirror_options(points, onto, pairs, within):
            if any(known == mirrored and set(pairs) <= set(held) for known, held in found):
                continue  # this way is known
            settled = _refine_pairs(hands[mirrored], there, pairs, within, fewest)
            if settled is not None and (mirrored, settled) not in found:
                found[mirrored, settled] = _registration(hands[mirrored], there, settled, mirrored=mirrored)
    return sort_with_ties(found.values(), (lambda fit: -len(fit.pairs), 0.5), (lambda fit: fit.worst, MARGIN))


def _as_complex(points: Sequence[Point], *, mirrored: bool = False) -> Plane:
    """Return points as complex numbers x + iy, mirrored (x → −x) if asked."""
    return [complex(-x if mirrored else x, y) for x, y in points]


def _fit_motion(here: Plane, there: Plane) -> tuple[complex, complex]:
    """Return rotation, as a number of length 1, and translation of the least-squares motion."""
    a, b = sum(here) / len(here), sum(there) / len(there)
    turned = sum([(p - a).conjugate() * (q - b) for p, q in zip(here, there, strict=True)])
    turn = turned / abs(turned) if turned else 1.0 + 0j
    return turn, b - turn * a


def _motion(turn: complex, shift: complex, *, mirrored: bool) -> Motion:
    """Return a rotation and a translation as a motion."""
    clockwise = -degrees(cmath.phase(turn))
    return Motion(mirrored, 180.0 if clockwise <= -180.0 else clockwise, (shift.real, shift.imag))


def _registration(here: Plane, there: Plane, pairs: Pairs, *, mirrored: bool) -> Registration:
    """Return the registration that the least-squares motion of some pairs gives."""
    turn, shift = _fit_motion([here[i] for i, _ in pairs], [there[j] for _, j in pairs])
    left = [turn * here[i] + shift - there[j] for i, j in pairs]
    return Registration(_motion(turn, shift, mirrored=mirrored), pairs, tuple((z.real, z.imag) for z in left))


def _seeds(points: Sequence[Point], onto: Sequence[Point], within: float, fewest: int) -> Iterator[Pairs]:
    """Yield three pairs whose triangles are alike, or two of equal distance where no more are needed.

    Of `onto` as many points are tried as always hold three, or two, of those that have partners.
    """
    size, slack = min(3, fewest), 2 * within
    here = [[dist(p, q) for q in points] for p in points]
    for base in combinations(range(min(len(onto), len(onto) - fewest + size)), size):
        m, n = base[:2]
        long = dist(onto[m], onto[n])
        for i, j in permutations(range(len(points)), 2):
            if abs(here[i][j] - long) > slack:
                continue
            if size == 2:
                yield ((i, m), (j, n))
                continue
            o = base[2]
            one, two = dist(onto[m], onto[o]), dist(onto[n], onto[o])
            for k in range(len(points)):
                if k not in (i, j) and abs(here[i][k] - one) <= slack and abs(here[j][k] - two) <= slack:
                    yield ((i, m), (j, n), (k, o))


def _mirror_options(points: Sequence[Point], onto: Sequence[Point], pairs: Pairs, within: float) -> tuple[bool, ...]:
    """Return whether the mirror is needed, by the sense of the triangles; both options where they are nearly flat."""
    if len(pairs) == 2:
        return (False, True)
    (i, m), (j, n), (k, o) = pairs
    one, two = _double_area(points[i], points[j], points[k]), _double_area(onto[m], onto[n], onto[o])
    flat = min(abs(one), abs(two)) <= 2 * within * max(dist(onto[m], onto[n]), dist(onto[m], onto[o]))
    return (False, True) if flat else ((one > 0) != (two > 0),)


def _double_area(p: Point, q: Point, r: Point) -> float:
    """Return twice the signed area of a triangle, positive counter-clockwise."""
    return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])


def _refine_pairs(here: Plane, there: Plane, seed: Pairs, within: float, fewest: int) -> Pairs | None:
    """Return the pairing near a seed's motion, fitted and paired in turn until stable, with small residuals.

    The worst pairs are dropped; None where fewer pairs than `fewest` are left.
    """
    pairs, reach = seed, SEED * within
    for _ in range(ROUNDS):
        turn, shift = _fit_motion([here[i] for i, _ in pairs], [there[j] for _, j in pairs])
        before, pairs = pairs, _pair_nearest([turn * z + shift for z in here], there, reach)
        reach = 1.5 * within
        if len(pairs) < fewest:
            return None
        if pairs == before:
            break
    while len(pairs) >= fewest:
        turn, shift = _fit_motion([here[i] for i, _ in pairs], [there[j] for _, j in pairs])
        left = [abs(turn * here[i] + shift - there[j]) for i, j in pairs]
        if max(left) <= within:
            return pairs
        far = left.index(max(left))
        pairs = pairs[:far] + pairs[far + 1 :]
    return None


def _pair_nearest(moved: Plane, there: Plane, within: float) -> Pairs:
    """Return each point with the nearest of the others within a distance, nearest pairs first, none twice."""
    near = [
        (away, i, j) for i, z in enumerate(moved) for j, other in enumerate(there) if (away := abs(z - other)) <= within
    ]
    near.sort()
    mine: dict[int, int] = {}
    taken: set[int] = set()
    for _, i, j in near:
        if i not in mine and j not in taken:
            mine[i] = j
            taken.add(j)
    return tuple(sorted(mine.items()))


def triangle_sides(points: Sequence[Point]) -> Iterator[tuple[float, float, float]]:
    """Yield the sides of each three points' triangle, longest first: invariant under motion, mirror and order.

    Two points have one triangle, whose other sides are 0.

    >>> list(triangle_sides([(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)]))
    [(5.0, 4.0, 3.0)]
    """
    if len(points) == 2:
        yield (dist(*points), 0.0, 0.0)
        return
    for p, q, r in combinations(points, 3):
        a, b, c = sorted((dist(p, q), dist(q, r), dist(r, p)), reverse=True)
        yield (a, b, c)
