"""Planes through what was measured on a panel, each moved to the safe side by its largest residual."""

from __future__ import annotations

from mounts.geometry.outline import Outline
from mounts.geometry.planes import Plane, nearest_plane
from mounts.load.models.panel import Panel


def glass_plane(panel: Panel) -> Plane | None:
    """The window glass at its worst, moved towards the speaker by its largest residual; None when not measured."""
    if panel.behind is None or panel.behind.glass is None:
        return None
    readings = {clock: -depth for clock, depth in panel.behind.glass.at_clock.items()}
    return nearest_plane(readings, panel.opening.outline(), (0.0, 0.0), towards=1)


def trim_plane(panel: Panel) -> Plane | None:
    """The trim's underside, moved towards the speaker by its largest residual; None when not measured."""
    front = panel.in_front
    if front is None or front.trim is None:
        return None
    return nearest_plane(front.trim.at_clock, trim_rim(panel), front.trim.at, towards=-1)


def grille_plane(panel: Panel) -> Plane | None:
    """The grille's underside likewise."""
    front = panel.in_front
    if front is None or front.grille is None:
        return None
    centre = front.trim.at if front.trim else (0.0, 0.0)
    return nearest_plane(front.grille.at_clock, trim_rim(panel), centre, towards=-1)


def trim_rim(panel: Panel) -> Outline:
    """The edge at which readings in front were taken: the trim's opening, else the panel's."""
    trim = panel.in_front.trim if panel.in_front else None
    return (trim.opening if trim and trim.opening else panel.opening).outline()
