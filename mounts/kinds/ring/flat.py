"""Plan and drawing of a ring cut from sheet: an outline, a bore, and through holes; it refuses what cannot be cut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import hypot, inf

import numpy as np

from mounts.design.drawing import Cross, Drawing, Layer, Note, Stroke, bound_width, centre_lines
from mounts.design.fasteners import Fastening
from mounts.design.lettering import slug
from mounts.errors import InputError
from mounts.geometry.distance import depths
from mounts.geometry.hull import hull
from mounts.geometry.outline import Outline, Point, circle, offset_outline
from mounts.geometry.ties import first_most
from mounts.identity import BORE, PLATE, Ident, Role
from mounts.kinds.ring.base import fastening_of
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import RingSeat
from mounts.kinds.ring.seat import lay_out_seat, seat_at
from mounts.kinds.ring.turn import turn_of
from mounts.kinds.ring.values import FlatPlan, Hole
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Feature, Recipe, Scene

WEB = 3.0  # mm between any two cut lines: what a jigsawed or routed sheet keeps in one piece
TEXTS = (5.0, 4.0, 3.0, 2.5, 2.0)  # mm cap heights of the engraved words, the largest first
AROUND, STEP = 1.5, 1.5  # mm free round engraved words, and from place to place that is tried


def plan_flat(job: RingJob) -> FlatPlan:
    """Plan the flat ring that a job asks for.

    Raises:
        InputError: when the job wants what a sheet cannot give, or two holes leave no material between them.
    """
    sheet = _sheet(job)
    screw = fastening_of(job)
    layout = lay_out_seat(job, turn_of(job, screw, sheet))
    seat = seat_at(job, layout, job.aim, sheet)
    fixings = [
        Hole(Ident(Role.HOLE, name, f"fixing {name}"), at, screw.hole) for name, at in job.panel.fixings.points.items()
    ]
    screws = [Hole(Ident(Role.SCREW, s.name), s.at, s.hole) for s in seat.screws]
    moved = [Hole(h.ident, (h.at[0] + job.seat_offset[0], h.at[1] + job.seat_offset[1]), h.diameter) for h in screws]
    holes = (*fixings, *moved)
    bore = seat.bore.moved(*job.seat_offset)
    outline = _outline(job, screw, seat, moved)
    _refuse_broken_webs(job, bore, holes)
    return FlatPlan(
        name=slug(f"{job.name}-{job.side}"),
        side=job.side,
        outline=outline,
        bore=bore,
        holes=holes,
        seat=seat,
        sheet=sheet,
        washer=screw.washer,
        genus=1 + len(holes),
        paper=_paper(job, outline, bore, holes),
    )


def draw_flat(plan: FlatPlan) -> Scene:
    """Draw the flat ring as a recipe: a plate with islands."""
    islands = (plan.bore, *(circle(hole.diameter, hole.at) for hole in plan.holes))
    plate = Prism(plan.outline, 0.0, plan.sheet, islands=islands)
    return Scene(Recipe(plan.name, (Feature(PLATE, (plate,)),), plan.genus))


def _sheet(job: RingJob) -> float:
    problems = []
    if job.sheet is None:
        problems.append(job.problem("sheet", "is missing; make: cut needs the sheet's thickness, as sheet: 12"))
    if job.aim.tilt:
        problems.append(job.problem("aim.tilt", f"{job.aim.tilt:g} cannot be cut from sheet; give 0, or make: print"))
    for key in ("collar", "flush"):
        if getattr(job, key):
            problems.append(job.problem(key, "cannot be cut from sheet; leave it out, or make: print"))
    if job.sheet is not None and not isinstance(job.height, str) and abs(job.height - job.sheet) > 1e-6:
        given = f"height {job.units(job.height)} is not the sheet's {job.units(job.sheet)}"
        problems.append(job.problem("height", f"{given}; leave height out, or glue up sheets and give their sum"))
    if problems or job.sheet is None:
        raise InputError(*problems)
    return job.sheet


def _outline(job: RingJob, screw: Fastening, seat: RingSeat, screws: list[Hole]) -> Outline:
    """Round the fixings, the seat and the opening's gasket land."""
    gasket = job.gaskets.base
    land = job.limits.lip + gasket.width if gasket else job.limits.wall_least
    discs = [circle(screw.disc, at) for at in job.panel.fixings.points.values()]
    discs += [circle(hole.diameter + 2 * WEB, hole.at) for hole in screws]
    return hull([seat.outline.moved(*job.seat_offset), offset_outline(job.panel.opening.outline(), land), *discs])


def _refuse_broken_webs(job: RingJob, bore: Outline, holes: tuple[Hole, ...]) -> None:
    for one, other, web in cut_webs(bore, holes):
        if web <= 0:
            need = (
                f"{one} breaks {job.units(-web, 1)} into {other}; take another turn, smaller "
                "hardware or another speaker"
            )
            raise InputError(job.problem("turn", need))


def cut_webs(bore: Outline, holes: tuple[Hole, ...]) -> Iterator[tuple[Ident, Ident, float]]:
    """Yield every two cuts inside the outline with what is left between them, mm."""
    for index, hole in enumerate(holes):
        yield hole.ident, BORE, -float(depths(bore, [hole.at])[0]) - hole.diameter / 2
        for other in holes[index + 1 :]:
            apart = hypot(hole.at[0] - other.at[0], hole.at[1] - other.at[1])
            yield hole.ident, other.ident, apart - (hole.diameter + other.diameter) / 2


def _paper(job: RingJob, outline: Outline, bore: Outline, holes: tuple[Hole, ...]) -> Drawing:
    assert job.sheet is not None
    words = (job.name, f"{job.side.upper()} ↑ UP") if job.label else ()
    return Drawing(
        title=f"{job.name}, {job.side}",
        captions=(
            f"sheet {job.units(job.sheet)}; {job.panel.name}, {job.side} side, seen from the cabin",
            "full lines are cut, letters are fixings, numbers the speaker's screws",
            "dashed: the panel's opening, which must show through the bore",
        ),
        items=(
            Stroke(outline, Layer.CUT, "outline"),
            Stroke(bore, Layer.CUT, "bore"),
            *(Stroke(circle(hole.diameter, hole.at), Layer.CUT, str(hole.ident)) for hole in holes),
            Stroke(job.panel.opening.outline(), Layer.REF, "opening"),
            centre_lines(outline.box),
            *(Cross(hole.at) for hole in holes),
            *_engraved(words, outline, bore, holes),
            Note("12:00", (0.0, outline.support(90.0) + 4.0), 4.0, on_paper=True),
            *(Note(hole.ident.name, _beside(hole), 3.0) for hole in holes),
        ),
    )


def _beside(hole: Hole) -> Point:
    """Place for a hole's name, on the side away from the bore."""
    aside = hole.diameter / 2 + 3.0
    return (hole.at[0] + (aside if hole.at[0] >= 0 else -aside), hole.at[1] + 3.0)


def _engraved(words: tuple[str, ...], outline: Outline, bore: Outline, holes: tuple[Hole, ...]) -> Iterator[Note]:
    """Yield each of the words where it has most room, as large as possible; it is left out where it has none."""
    taken = [(hole.at, (hole.diameter, hole.diameter)) for hole in holes]
    for text in words:
        for height in TEXTS:
            size = (bound_width(text, height), height)
            spot = _freest(size, outline, bore, taken)
            if spot is not None:
                yield Note(text, spot, height, layer=Layer.ENGRAVE)
                taken.append((spot, size))
                break


def _freest(size: Point, outline: Outline, bore: Outline, taken: Sequence[tuple[Point, Point]]) -> Point | None:
    """Return the middle of the freest place for a box, at least AROUND from everything; None where there is none."""
    x0, y0, x1, y1 = outline.box
    grid = np.stack(np.meshgrid(np.arange(x0, x1, STEP), np.arange(y0, y1, STEP)), -1).reshape(-1, 2)
    half = np.array(size) / 2
    corners = np.array([(x, y) for x in (-1.0, 1.0) for y in (-1.0, 1.0)]) * half  # nearest to a convex edge
    along = np.array([(x, y) for x in np.linspace(-1, 1, 9) for y in (-1.0, 1.0)]) * half
    free = np.full(len(grid), inf)
    for middle, other in taken:
        beyond = np.abs(grid - np.asarray(middle)) - half - np.asarray(other) / 2
        free = np.minimum(free, beyond.max(axis=1))
    for edge, way, around in ((outline, 1, corners), (bore, -1, along)):
        likely = free >= AROUND
        rim = (grid[likely, None] + around).reshape(-1, 2)
        free[likely] = np.minimum(free[likely], (way * depths(edge, rim)).reshape(-1, len(around)).min(axis=1))
    best = first_most(free)
    return (float(grid[best, 0]), float(grid[best, 1])) if free[best] >= AROUND else None
