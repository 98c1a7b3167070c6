"""Which readings were not taken; what rests on them is not checked, and said as loudly as a failure."""

from __future__ import annotations

from mounts.load.models.resolved import Job


def not_measured(job: Job) -> tuple[str, ...]:
    """Paths of the readings that a check would have used had they been taken."""
    panel, speaker = job.panel, job.speaker
    behind, front = panel.behind, panel.in_front
    given = {
        "panel.in_front.trim": front is not None and front.trim is not None,
        "panel.in_front.trim.opening": front is not None and front.trim is not None and front.trim.opening is not None,
        "panel.in_front.grille": front is not None and front.grille is not None,
        "panel.behind.glass": behind is not None and behind.glass is not None,
        "panel.behind.things": behind is not None and bool(behind.things),
        "panel.fixings.hole": panel.fixings.hole is not None,
        "panel.face.thickness": panel.face.thickness is not None,
        "panel.ears": panel.ears is not None or panel.seats is not None,
        "panel.place": panel.place is not None,
        "speaker.body": bool(speaker.body),
        "speaker.terminals": bool(speaker.terminals),
        "speaker.front": speaker.front is not None,
        "speaker.piston": speaker.piston_diameter is not None,
        "speaker.mass": speaker.mass is not None,
    }
    return tuple(path for path, known in given.items() if not known)
