"""A ring as the shape stage draws it, of our own invention: a leaning tower on a base round four fixings.

It has all that makes work for a kernel: broken edges, a ruled tower, a bore with a flare, fixings with tool paths and
recesses, insert pockets in the tilted seat, a gasket groove, and a label on the tower's wall or on the base.
"""

from __future__ import annotations

from mounts.geometry.frames import PANEL, Frame, Vector, clock_vector, tilt_frame
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import Point, circle, offset_outline, polar_point
from mounts.shape.primitives import Body, Prism, Revolved, Ruled, Section
from mounts.shape.recipe import Feature, Recipe
from tests.geometry.discs import hull_of_discs
from tests.idents import ident
from tests.kernels.glyphs import GLYPHS

SEAT = tilt_frame((0.0, 0.0, 24.0), 8.0, 315.0)  # of the ring as it is drawn when nothing else is asked for
POCKETS_AT = tuple(polar_point((0.0, 0.0), 127.0, angle) for angle in (0.0, 90.0, 180.0, 270.0))
FIXINGS = ((58.0, 53.5), (58.5, -54.0), (-57.5, -53.0), (-58.0, 54.0))
BASE, SUNK, OVER = 6.0, 0.6, 1.0  # mm: base, label's depth, how far a cutter reaches out
TEXT = "DOORLAPINNETO"


def ring(
    label: str = "wall",
    *,
    height: float = 24.0,
    tilt: float = 8.0,
    toward: float = 315.0,
    turn: float = 0.0,
    fixings: tuple[Point, ...] = FIXINGS,
) -> Recipe:
    """The ring with its label on the tower's "wall", on the "base", or with none ("")."""
    seat = tilt_frame((0.0, 0.0, height), tilt, toward)
    pockets = [polar_point((0.0, 0.0), 127.0, turn + angle) for angle in (0.0, 90.0, 180.0, 270.0)]
    features = [
        Feature(ident("base"), (_base(fixings),)),
        Feature(ident("tower"), (_tower(seat),)),
        Feature(ident("bore"), (_bore(seat),), cut=True),
        *(Feature(ident(f"hole {chr(65 + k)}"), _fixing(at), cut=True) for k, at in enumerate(fixings)),
        *(Feature(ident(f"pocket {k}"), (_pocket(seat.shifted(*at)),), cut=True) for k, at in enumerate(pockets)),
        Feature(ident("groove"), (_groove(),), cut=True),
    ]
    if label:
        place = {"wall": _on_wall, "base": _on_base}[label]
        bodies = tuple(glyph(letter, place(5.0 * (k - 6))) for k, letter in enumerate(TEXT))
        features.append(Feature(ident("label"), bodies, cut=True))
    return Recipe("demo-ring", tuple(features), genus=1 + len(fixings))


def _base(fixings: tuple[Point, ...]) -> Body:
    """Four sections of the grown outline: its edges are broken by 0.6 below and by 1 above."""
    outline = hull_of_discs([((0.0, 0.0), 162.0), *((at, 22.0) for at in fixings)])
    levels = ((0.0, -0.6), (0.6, 0.0), (BASE - 1.0, 0.0), (BASE, -1.0))
    return Ruled(tuple(Section(PANEL.lifted(z), offset_outline(outline, by)) for z, by in levels))


def _tower(seat: Frame) -> Body:
    """From a foot sunk into the base to the seat, whose edge is broken by 0.8."""
    foot = hull_of_discs([((0.0, 0.0), 140.0), ((-4.0, 4.0), 141.0)])
    low, high, top = match_spans(foot, circle(139.0), circle(137.4))
    sections = ((PANEL.lifted(BASE - 2.0), low), (seat.lifted(-0.8), high), (seat, top))
    return Ruled(tuple(Section(frame, outline) for frame, outline in sections))


def _bore(seat: Frame) -> Body:
    """From the face to the seat, opened to the rear below the pockets."""
    levels = ((PANEL.lifted(-OVER), 122.0), (PANEL.lifted(5.0), 117.5), (seat.lifted(-8.0), 117.0))
    sections = [Section(frame, circle(diameter)) for frame, diameter in levels]
    return Ruled((*sections, Section(seat.lifted(OVER), circle(117.0))))


def _fixing(at: Point) -> tuple[Body, ...]:
    """Clearance hole, straight tool path from the front, and a recess for a proud flange behind."""
    place = PANEL.shifted(*at)
    return (
        Prism(circle(6.0), -OVER, BASE + OVER, place),
        Prism(circle(16.0), BASE - 1.5, 60.0, place),
        Prism(circle(11.0), -OVER, 1.4, place),
    )


def _pocket(place: Frame) -> Body:
    """Blind hole for a heat-set insert with its lead-in, in the seat's frame."""
    return Revolved(place, ((-8.0, 5.6), (-0.6, 5.6), (0.0, 6.8), (OVER, 6.8)))


def _groove() -> Body:
    """For the gasket, in the base's underside."""
    outside, inside = circle(134.0), circle(125.0)
    low, high = PANEL.lifted(-OVER), PANEL.lifted(1.8)
    sections = ((low, outside), (high, outside), (high, inside), (low, inside))
    return Ruled(tuple(Section(frame, outline) for frame, outline in sections), ring=True)


def upright(origin: Vector, outward: Vector) -> Frame:
    """Frame on a wall: z along the level `outward`, y the panel's z, x to the reader's right."""
    x, y, _ = outward
    return Frame(origin, (-y, x, 0.0), outward)


def _on_wall(along: float) -> Frame:
    """Upright frame just outside the tower's wall, `along` degrees to the reader's right of 6:00, z outward."""
    hx, hy = clock_vector(180.0 - along)
    return upright((69.8 * hx, 69.8 * hy, 14.0), (hx, hy, 0.0))


def _on_base(along: float) -> Frame:
    """Frame on the base's upper side, `along` degrees clockwise of 3:00, y outward."""
    hx, hy = clock_vector(90.0 + along)
    return Frame((75.5 * hx, 75.5 * hy, BASE), (hy, -hx, 0.0))


def glyph(letter: str, place: Frame) -> Prism:
    """A letter 5 high, sunk below the plane of `place`."""
    outline, *islands = GLYPHS[letter]
    return Prism(outline, -SUNK, 2.0, place, tuple(islands))
