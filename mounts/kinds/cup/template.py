"""Template of the plate at 1:1, to be held against the pins."""

from __future__ import annotations

from collections.abc import Sequence

from mounts.design.drawing import Cross, Drawing, Layer, Note, Stroke, centre_lines, inward
from mounts.design.measured_planes import things_standing
from mounts.geometry.outline import Outline, circle
from mounts.kinds.cup.values import CupSeat, Stake
from mounts.load.models.job_kinds import CupJob


def draw_template(job: CupJob, outline: Outline, seat: CupSeat, stakes: Sequence[Stake]) -> Drawing:
    """Draw the template of the plate: outline, holes, grille, tweeter, seen from the cabin."""
    strokes = [Stroke(outline, Layer.CUT, "plate")]
    strokes += [Stroke(s.hole, Layer.CUT, f"hole {s.name}") for s in stakes]
    strokes += [Stroke(circle(s.head.diameter, s.at), Layer.REF, f"head {s.name}") for s in stakes]
    at = (seat.frame.origin[0], seat.frame.origin[1])
    strokes.append(Stroke(seat.flange.moved(*at), Layer.REF, "flange"))
    grille = job.panel.grille
    if grille is not None:
        strokes.append(Stroke(grille.outline().moved(*grille.at), Layer.REF, "grille"))
    strokes += [Stroke(thing.outline(), Layer.REF, one.label) for one, thing in things_standing(job.panel)]
    captions = [
        f"{job.panel.name}, {job.side} side, seen from the cabin: hold it behind the face",
        *(
            f"pin {s.name}: cut {s.cut:.1f} off, so that {s.protrudes:.1f} stands behind the plate"
            for s in stakes
            if s.cut > 0
        ),
        *(_head_line(s) for s in stakes),
    ]
    top = outline.support(90.0)
    return Drawing(
        title=f"{job.name}, {job.side}",
        captions=tuple(captions),
        items=(
            *strokes,
            centre_lines(outline.box),
            *(Cross(s.at) for s in stakes),
            Note("12:00", (0.0, top + 4.0), 3.0, on_paper=True),
            *(Note(s.name, inward(s.at, s.head.diameter / 2 + 3.0), 3.0) for s in stakes),
        ),
    )


def _head_line(s: Stake) -> str:
    return f"pin {s.name}, {s.role}: {s.head.form} head {s.head.diameter:.1f} across, {s.head.height:.1f} high"
