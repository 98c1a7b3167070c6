"""Planes through what was measured on a panel, each moved to the safe side by its largest residual."""

from __future__ import annotations

from mounts.geometry.planes import Plane, plane_weights, supporting_plane
from mounts.identity import Ident, Role, thing_idents
from mounts.load.models.panel import Panel
from mounts.load.models.pins import PinPanel, Standing
from mounts.load.models.surroundings import AtClock, Thing
from mounts.load.parse.units import format_clock


def glass_plane(panel: Panel) -> Plane | None:
    """Return window glass at its worst, moved towards the speaker by its largest residual; None when not measured."""
    if panel.behind is None or panel.behind.glass is None:
        return None
    readings = {clock: -depth for clock, depth in panel.behind.glass.at_clock.items()}
    return supporting_plane(readings, panel.opening.outline(), (0.0, 0.0), towards=1)


def trim_plane(panel: Panel) -> Plane | None:
    """Return the trim's underside, moved towards the speaker by its largest residual; None when not measured."""
    front = panel.in_front
    if front is None or front.trim is None:
        return None
    return supporting_plane(front.trim.at_clock, panel.trim_rim, front.trim.at, towards=-1)


def grille_plane(panel: Panel) -> Plane | None:
    """Return the grille's underside likewise."""
    front = panel.in_front
    if front is None or front.grille is None:
        return None
    centre = front.trim.at if front.trim else (0.0, 0.0)
    return supporting_plane(front.grille.at_clock, panel.trim_rim, centre, towards=-1)


def follows_face(panel: Panel, reading: str, at: tuple[float, float]) -> dict[Ident, float]:
    """Return how much glass, trim or grille over a point follows each of its readings, as "the trim at 3:00": 0.5.

    Args:
        panel: that was read.
        reading: "behind.glass", "in_front.trim" or "in_front.grille"; nothing else is a plane.
        at: the point, panel frame.
    """
    read, front = _readings(panel, reading), panel.in_front
    if read is None:
        return {}
    role = Role(reading.rpartition(".")[2])
    if len(read.at_clock) == 1:
        return {Ident(role, "", f"the {role}"): 1.0}
    ahead = reading.startswith("in_front")
    rim = panel.trim_rim if ahead else panel.opening.outline()
    centre = front.trim.at if ahead and front and front.trim else (0.0, 0.0)
    weights = plane_weights(read.at_clock, rim, centre, at)
    return {
        Ident(role, f"{clock:g}", f"the {role} at {format_clock(clock)}"): weight for clock, weight in weights.items()
    }


def _readings(panel: Panel, reading: str) -> AtClock | None:
    behind, front = panel.behind, panel.in_front
    return {
        "behind.glass": behind.glass if behind else None,
        "in_front.trim": front.trim if front else None,
        "in_front.grille": front.grille if front else None,
    }.get(reading)


def things_behind(panel: Panel) -> tuple[tuple[Ident, Thing], ...]:
    """Return the things behind a panel with their identities, in the order of its file."""
    things = panel.behind.things if panel.behind else ()
    return tuple(zip(thing_idents([thing.what for thing in things]), things, strict=True))


def things_standing(panel: PinPanel) -> tuple[tuple[Ident, Standing], ...]:
    """Return what stands on a panel's rear face with its identities, in the order of its file."""
    return tuple(zip(thing_idents([thing.what for thing in panel.standing]), panel.standing, strict=True))
