"""A mount as it is seen from the cabin and from behind, with its sizes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import hypot
from typing import Literal

from mounts.design.drawing import AXIS, EDGE, THIN, Callout, Dimension, Drawing, PenLine, Tag
from mounts.geometry.frames import Frame
from mounts.geometry.outline import Point
from mounts.kernels.hidden_lines import VisibleEdges, visible_edges
from mounts.kinds.review import PlacedText
from mounts.made import Made
from mounts.papers.caliper import caliper_checks

FRONT, BACK = Frame(), Frame(x=(-1.0, 0.0, 0.0), z=(0.0, 0.0, -1.0))
NUMBERS = "①②③④⑤"
ASIDE = 15.0  # mm from the middle, within which a fixing's letter may stand where 12:00 is written


def front_view(made: Made) -> Drawing:
    """Return the view from the cabin, with the caliper's sizes."""
    told = [*_measured(made), *made.kind.review().papers.front(made.job, made.plan)]
    return _view(made, FRONT, "Seen from the cabin, 12:00 up", told)


def back_view(made: Made) -> Drawing:
    """Return the view from behind, with what is cut into the back."""
    told = tuple(made.kind.review().papers.back(made.job, made.plan))
    return _view(made, BACK, "Seen from behind, 12:00 up: left and right change places", told)


def _view(made: Made, frame: Frame, title: str, told: Sequence[PlacedText]) -> Drawing:
    drawn: VisibleEdges = visible_edges(made.part, frame)
    lines = [*(PenLine(path, EDGE) for path in drawn.sharp), *(PenLine(path, THIN) for path in drawn.smooth)]
    points = frame.into(made.part.vertices)
    (u0, v0, _), (u1, v1, _) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    box = (u0, v0, u1, v1)
    way = frame.x[0]
    lines += [
        PenLine(((box[0] - 3, 0.0), (box[2] + 3, 0.0)), AXIS),
        PenLine(((0.0, box[1] - 3), (0.0, box[3] + 3)), AXIS),
    ]
    callouts = tuple(Callout((way * at[0], at[1]), text, _margin(way * at[0], box)) for at, text in told)
    named = made.kind.review().papers.points(made.job)
    sizes = (
        Dimension((box[0], box[1]), (box[2], box[1]), "u", -1, made.job.units(box[2] - box[0], 1)),
        Dimension((box[0], box[1]), (box[0], box[3]), "v", -1, made.job.units(box[3] - box[1], 1)),
    )
    above = 9.0 if any(abs(x) < ASIDE and 0 < y < v1 for x, y in named.values()) else 4.0
    twelve = Tag((min(max(0.0, u0), u1), v1), "12:00 ▲", (0.0, above))
    tags = (twelve, *(_tag(at, name, way) for name, at in named.items()))
    return Drawing(title, (*lines, *sizes, *tags, *callouts), box=box).inside()


def _margin(u: float, box: tuple[float, float, float, float]) -> Literal[-1, 1]:
    return 1 if u >= (box[0] + box[2]) / 2 else -1


def _tag(at: Point, name: str, way: float) -> Tag:
    far = max(hypot(*at), 1e-9)
    return Tag((way * at[0], at[1]), name, (7.5 * way * at[0] / far, 7.5 * at[1] / far))


def _measured(made: Made) -> Iterator[PlacedText]:
    """Yield the caliper's sizes by their numbers, at one of their ends."""
    for number, check in zip(NUMBERS, caliper_checks(made), strict=False):
        one, other = check.ends
        at = one if one[2] >= other[2] else other
        yield (at[0], at[1]), f"{number} {check.what} {made.job.units(check.value, 1)}"
