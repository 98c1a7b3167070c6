"""Drawing of the board at 1:1: the template for the sheet, and what a machine cuts by."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import dist

from mounts.design.drawing import Cross, Drawing, Layer, Note, Stroke
from mounts.geometry.outline import Outline, Point, circle
from mounts.geometry.ties import MARGIN, sort_with_ties
from mounts.kinds.board.job import BoardJob
from mounts.kinds.board.values import Foot, Slot, Spot, Stand

TEXT, SMALL = 5.0, 2.5  # mm cap heights: what is engraved, and what is only read
ASIDE = 12.0  # mm that the name keeps from the board's edge
GRID = 7  # places tried each way for the name

Cuts = tuple[Sequence[Spot], Sequence[Slot], Sequence[Foot]]


def draw_template(
    job: BoardJob, outlines: tuple[Outline, Outline, Outline | None], stands: Sequence[Stand], cuts: Cuts
) -> Drawing:
    """Draw the template of the board, seen from above.

    Args:
        job: for names and instructions.
        outlines: of the finished board, of the board itself, and of the edge of its folded carpet below.
        stands: the devices.
        cuts: screws, passages and feet.
    """
    spots, slots, feet = cuts
    finished, outline, fold = outlines
    strokes = [Stroke(outline, Layer.CUT, "outline")]
    strokes += [Stroke(slot.outline, Layer.CUT, slot.name) for slot in slots]
    strokes += [Stroke(circle(spot.hole, spot.at), Layer.CUT, spot.name) for spot in spots]
    strokes += [Stroke(circle(foot.hole, foot.at), Layer.CUT, foot.name) for foot in feet if foot.hole]
    return Drawing(
        title=job.name,
        captions=tuple(_captions(job, spots, slots, feet)),
        items=(
            *strokes,
            *_for_the_eye(job, (finished, outline, fold), stands, cuts),
            Cross((0.0, 0.0), 12.0),
            *(Cross(spot.at) for spot in spots),
            *(Cross(foot.at) for foot in feet),
            *_notes(job, outline, stands, cuts),
        ),
        up="FRONT",
    )


def _for_the_eye(
    job: BoardJob, outlines: tuple[Outline, Outline, Outline | None], stands: Sequence[Stand], cuts: Cuts
) -> Iterator[Stroke]:
    finished, outline, fold = outlines
    if finished != outline:
        yield Stroke(finished, Layer.REF, "with its carpet on")
    if fold is not None:
        yield Stroke(fold, Layer.REF, "carpet folded back below to here")
    for stand in stands:
        yield Stroke(stand.outline, Layer.REF, stand.name)
        yield from (Stroke(room.outline, Layer.REF, str(room.ident)) for room in stand.plugs)
    for foot in cuts[2]:
        yield Stroke(circle(foot.diameter, foot.at), Layer.REF, foot.name)
        if foot.sunk:
            yield Stroke(circle(foot.head, foot.at), Layer.REF, f"countersink {foot.name}")
    if job.wrap:
        for spot in cuts[0]:
            across = spot.path - job.limits.tool_path + 2 * job.wrap.relief
            yield Stroke(circle(across, spot.at), Layer.REF, f"carpet punched out at {spot.name}")


def _captions(job: BoardJob, spots: Sequence[Spot], slots: Sequence[Slot], feet: Sequence[Foot]) -> Iterator[str]:
    how = "sheet" if job.make == "cut" else "printed"
    yield (
        f"{job.material.name}, {how}, {job.units(job.thickness)} thick; seen from above; 12:00 "
        "looks to the vehicle's front"
    )
    holes = ", ".join(f"{job.units(diameter, 1)} for {names}" for diameter, names in _by_diameter(spots))
    yield f"holes: {holes}"
    if slots and job.make == "cut":
        yield (
            "round both edges of every passage by hand to a radius of "
            f"{job.units(slots[0].radius)}, and no cable chafes"
        )
    where = "printed apart, screwed on from above" if job.make == "cut" else "printed on it"
    yield (
        f"{len(feet)} feet {job.units(job.feet.across)} across and {job.units(job.feet.height)} "
        f"high, {where}, glued to the lining"
    )
    sunk = next((foot for foot in feet if foot.sunk), None)
    if sunk is not None:
        yield f"countersink the feet's holes {job.units(sunk.head)} wide from above"
    if job.wrap:
        yield (
            f"carpet {job.units(job.wrap.thickness)} thick goes round it and through the passages, "
            f"{job.units(job.wrap.fold)} "
            "folded back below; punch it out round every screw, since a drill or a screw winds it up"
        )


def _by_diameter(spots: Sequence[Spot]) -> Iterator[tuple[float, str]]:
    for diameter in sorted({round(spot.hole, 3) for spot in spots}):
        names = dict.fromkeys(spot.device for spot in spots if abs(spot.hole - diameter) < 1e-3)
        yield diameter, ", ".join(names)


def _notes(job: BoardJob, outline: Outline, stands: Sequence[Stand], cuts: Cuts) -> Iterator[Note]:
    spots, slots, feet = cuts
    places = [*(spot.at for spot in spots), *(foot.at for foot in feet if foot.hole)]
    engraved = Layer.ENGRAVE if job.label else Layer.REF
    taken = [*places, *(slot.outline.middle for slot in slots)]
    for stand in stands:
        free = _freest(stand.outline, taken)
        taken.append(free)
        yield Note(stand.name, free, TEXT, layer=engraved)
    if job.label:
        yield Note(f"{job.name} ↑ FORWARD", _freest(outline, taken), TEXT, layer=Layer.ENGRAVE)
    for spot in spots:
        yield Note(spot.name, (spot.at[0], spot.at[1] - spot.hole / 2 - 4.0), SMALL, on_paper=True)
    for foot in feet:
        yield Note(foot.name, (foot.at[0], foot.at[1] + foot.diameter / 4), SMALL)
    for slot in slots:
        x0, y0, x1, y1 = slot.outline.box
        yield Note(slot.name, slot.outline.middle, SMALL, 90.0 if y1 - y0 > x1 - x0 else 0.0)


def _freest(outline: Outline, taken: Sequence[Point]) -> Point:
    """Return the place inside an outline that is furthest from everything cut there, for a note."""
    x0, y0, x1, y1 = outline.box
    tried = [
        (x0 + (x1 - x0) * (i + 1) / (GRID + 1), y0 + (y1 - y0) * (j + 1) / (GRID + 1))
        for i in range(1, GRID - 1)
        for j in range(GRID)
    ]
    inside = [place for place in tried if outline.depth(place) >= ASIDE] or [outline.middle]
    middle = outline.middle
    return sort_with_ties(
        inside,
        (lambda p: -min((dist(p, q) for q in taken), default=0.0), MARGIN),
        (lambda p: dist(p, middle), MARGIN),
    )[0]
