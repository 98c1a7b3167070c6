"""Template of the spacer at 1:1, to be laid on the panel's opening and held against the device."""

from __future__ import annotations

from mounts.design.drawing import Drawing, Layer, Note, Stroke, centre_lines
from mounts.kinds.spacer.values import Bore, Outside, SleeveLip, Slit
from mounts.load.models.job_kinds import SpacerJob


def draw_template(job: SpacerJob, outside: Outside, bore: Bore, lip: SleeveLip | None, slit: Slit | None) -> Drawing:
    """Draw the template of lip, opening and device, as seen from the cabin."""
    strokes = [Stroke(lip.levels[0][1], Layer.CUT, "lip")] if lip else []
    strokes += [Stroke(outside.opening, Layer.CUT, "opening"), Stroke(bore.device, Layer.CUT, "device")]
    outermost = (lip.levels[0][1] if lip else outside.opening).box
    captions = [
        "seen from the cabin; outermost the lip, then the panel's opening, inmost the device's body",
        f"the opening must show all round its line, and the device cover its own; {_sizes(job)}",
    ]
    if slit and slit.half is None:
        captions.append(f"slit of {slit.width:g} towards {int(slit.clock // 30) or 12}:{int(slit.clock % 30 * 2):02d}")
    if slit and slit.half:
        captions.append("in two halves, a and b; print one of each")
    return Drawing(
        title=job.name,
        captions=tuple(captions),
        items=(
            *strokes,
            centre_lines(outermost, ((outermost[0] + outermost[2]) / 2, (outermost[1] + outermost[3]) / 2)),
            Note("12:00", ((outermost[0] + outermost[2]) / 2, outermost[3] + 5.0), 3.0, on_paper=True),
            Note(f"{job.name} {job.side}".strip(), ((outermost[0] + outermost[2]) / 2, outermost[1] - 5.0), 2.5),
        ),
    )


def _sizes(job: SpacerJob) -> str:
    return f"{job.material.name} on {job.printer.name}"
