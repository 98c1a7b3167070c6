"""The plan's walls measured on the finished mesh, and thin walls of which the plan says nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from mounts.checks.nearest import Near, least_walls
from mounts.checks.report import Finding, Verdict
from mounts.checks.skin import LABEL, Skin, sights
from mounts.checks.thickness import LIKELY, MOST, NOMINAL, ThinPlace, exactly, told
from mounts.checks.wall import Wall
from mounts.checks.words import Surface, facing, hole_of, surfaces
from mounts.geometry.facets import Whole
from mounts.kernels.part import Part

AGREE = 0.05  # mm by which plan and mesh may differ
DOUBT = 0.02  # mm of difference from which a wall is told on the B-rep's own faces
BEHIND_LABEL = 2.0  # mm that lettering must leave: as much as a pocket's floor
MESH = "the finished mesh"


def wall_findings(
    part: Part, walls: Sequence[Wall], *, behind_label: float = BEHIND_LABEL, skin: Skin | None = None
) -> tuple[Finding, ...]:
    """Every wall of the plan with what the mesh shows of it; then what the mesh shows besides.

    A wall that the mesh does not show, because something else is cut away between its two features, keeps only its
    closed form. Codes besides the walls' own: wall.disagreement where both differ by more than AGREE, wall.unknown for
    a wall thinner than any limit that the plan does not know, wall.label for what is left behind lettering.

    Args:
        part: closed and oriented, with the recipe's names on its features.
        walls: of the plan.
        behind_label: least material behind lettering, mm.
        skin: the part's, when it is at hand.
    """
    shown = _Shown.of(skin or Skin.of(part), walls)
    findings: list[Finding] = []
    for wall in walls:
        place = shown.of_wall(wall)
        measured = None if place is None else place.thickness + _to_centre(part, wall)
        findings.append(_finding(wall, measured))
        if measured is not None and place is not None and abs(measured - wall.thickness) > AGREE:
            findings.append(_disagreement(wall, measured, place))
    findings += _unknown(shown, walls)
    findings += _labels(shown, behind_label)
    return tuple(findings)


def mesh_wall_findings(part: Part, limit: float, source: str, *, skin: Skin | None = None) -> tuple[Finding, ...]:
    """The walls of a part of which no plan is known: the least one, or each that is thinner than the limit.

    Args:
        part: closed and oriented.
        limit: mm; thinner fails.
        source: of the limit.
        skin: the part's, when it is at hand.
    """


def _finding(wall: Wall, measured: float | None) -> Finding:
    """The wall's own finding; measured thinner than its limit by more than AGREE it fails, whatever the plan says."""
    found = replace(wall.finding(), measured=measured)
    if measured is None or not wall.is_enough or measured >= wall.limit - AGREE:
        return found
    return replace(found, verdict=Verdict.FAIL, advice=replace(wall, thickness=measured).advice)
