"""Template of the base at 1:1, to be laid on the door."""

from __future__ import annotations

from collections.abc import Sequence

from mounts.design.drawing import Cross, Drawing, Layer, Note, Stroke, centre_lines
from mounts.geometry.outline import circle, offset_outline
from mounts.kinds.ring.values import Base, Fixing
from mounts.load.models.job_kinds import RingJob

LINING = 3.0  # mm: the lining is cut back this far outside the base


def draw_template(job: RingJob, base: Base, fixings: Sequence[Fixing]) -> Drawing:
    """Draw the template of the base: outline, opening, holes, centre and the clock's 12, seen from the cabin."""
    strokes = [Stroke(base.outline, Layer.CUT, "base"), Stroke(base.opening, Layer.CUT, "opening")]
    strokes += [Stroke(circle(f.hole, f.at), Layer.CUT, f"hole {f.name}") for f in fixings]
    captions = [f"{job.panel.name}, {job.side} side, seen from the cabin; lay it on the face: every hole must show"]
    if job.panel.face.lining:
        strokes.append(Stroke(offset_outline(base.outline, LINING), Layer.REF, "lining cut away"))
        captions.append(f"dashed: cut the lining ({job.panel.face.lining:g} thick) away along this line")
    if job.panel.nearby:
        captions.append(f"nearby: {', '.join(map(str, job.panel.nearby))}; read the cautions first")
    top = base.outline.support(90.0)
    return Drawing(
        title=f"{job.name}, {job.side}",
        captions=tuple(captions),
        items=(
            *strokes,
            centre_lines(base.outline.box),
            *(Cross(f.at) for f in fixings),
            Note("12:00", (0.0, top - 6.0), 4.0, on_paper=True),
            *(Note(f.name, (f.at[0] + f.hole / 2 + 4.0, f.at[1]), 4.0) for f in fixings),
        ),
    )
