"""The plan's walls measured on the finished mesh, and thin walls of which the plan says nothing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from mounts.checks.mesh.measured_walls import MeasuredWalls, measure_walls
from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.thickness import ANYWHERE, CHORDS, ThinPlace, least_place, thin_places, thinnest_first
from mounts.checks.printing.patches import circle_of_points
from mounts.findings.compare import AGREE, at_least, state
from mounts.findings.report import Finding, Verdict
from mounts.findings.wall import Wall
from mounts.identity import Ident
from mounts.kernels.part import Part
from mounts.lengths import Units

DOUBT = 0.02  # mm that a kernel's chords may hide; a wall that differs by more is measured on the B-rep's own faces
EXACTLY = 2.0  # times its limit: no thicker wall is, unless it differs from the plan's
BEHIND_LABEL = 2.0  # mm that lettering must leave: as much as a pocket's floor
LINES = 0.8  # mm, two lines of a 0.4 nozzle
EDGE = "wall.hole-edge"  # the one wall that is measured from a hole's centre
DETAIL = 0.8  # mm: thin places beside a face less broad, four layers, are no walls but lettering and the like
UPRIGHT = 0.02  # greatest z of a normal on a hole's wall
MEASURED = "measured on the finished mesh"


def wall_findings(
    part: Part,
    walls: Sequence[Wall],
    *,
    behind_label: float = BEHIND_LABEL,
    skin: Skin | None = None,
    units: Units = Units.MM,
) -> tuple[Finding, ...]:
    """Every wall of the plan with what the mesh shows of it; then what the mesh shows besides.

    A wall of the plan is the least distance between its two features' triangles along the normals of both; one that the
    mesh does not show, because no such way is left, keeps only its closed form. Codes besides the walls' own:
    wall.disagreement where both differ by more than AGREE (and the chords of both sides, in a mesh file), wall.unknown
    for a wall thinner than any limit that the plan does not know, wall.label for what is left behind lettering.

    Args:
        part: closed and oriented, with the recipe's names on its features.
        walls: of the plan.
        behind_label: least material behind lettering, mm.
        skin: the part's, when it is at hand.
        units: in which its sentences give lengths.
    """
    least = min((wall.limit for wall in walls if wall.code != EDGE), default=LINES)
    sure, agree = (AGREE, AGREE + 2 * DOUBT) if part.kernel == "file" else (DOUBT, AGREE)  # a file has no exact faces
    found = measure_walls(skin or Skin.of(part), walls, least, agree)
    findings: list[Finding] = []
    for index, wall in enumerate(walls):
        place = _of_wall(found, index, wall, agree)
        findings.append(_finding(wall, place, sure, units))
        if place is not None and _disagree(wall, place.thickness, agree):
            findings.append(_disagreement(wall, place))
    return (*findings, *_unknown(found, least, sure, units), *_labels(found, behind_label, units))


def mesh_wall_findings(part: Part, limit: float, source: str, *, skin: Skin | None = None) -> tuple[Finding, ...]:
    """Return the walls of a part without a plan: each that is thinner than the limit, or that none is.

    What is thin beside a face less than DETAIL broad is taken for lettering or the like, and warned of together.

    Args:
        part: closed and oriented.
        limit: mm; thinner fails.
        source: of the limit.
        skin: the part's, when it is at hand.
    """
    skin = skin or Skin.of(part)
    broad = skin.breadths
    places = thin_places(part, limit, skin=skin)
    walls = [place for place in places if broad[list(place.faces)].min() >= DETAIL]
    found = [_thin("wall.thin", place, limit, source) for place in walls]
    least = None if places else least_place(skin)
    if least is not None:
        found.append(_thin("wall.thin", least, limit, source, what="least wall"))
    if len(walls) < len(places):
        thinnest = next(place for place in places if place not in walls)
        many = len(places) - len(walls)
        what = "thin detail, such as lettering" if many == 1 else f"{many} thin details, such as lettering; the least"
        advice = "look whether the slicer keeps them"
        found.append(_thin("wall.detail", thinnest, limit, source, what=what, advice=advice, missed=Verdict.WARN))
    return tuple(found)


def least_findings(skin: Skin, *, limit: float = LINES) -> tuple[Finding, ...]:
    """Return the least material anywhere, broken edges included; none if no surfaces oppose each other.

    Args:
        skin: of a part that is closed and oriented, its lettering named.
        limit: mm; thinner warns, since a printer drops what is under two lines.
    """
    place = least_place(skin, ANYWHERE)
    if place is None:
        return ()
    source = "two lines of a 0.4 nozzle, as print guides have it"
    return (_thin("wall.least", place, limit, source, what="least material anywhere", missed=Verdict.WARN),)


def _of_wall(found: MeasuredWalls, index: int, wall: Wall, agree: float) -> ThinPlace | None:
    """Return what the part shows of a wall, as the plan defines it, and exactly where their difference matters."""
    place = found.places.get(index)
    half = 0.0 if wall.code != EDGE else _half_of_hole(found.skin, wall.between[0])
    if place is None or half is None:
        return None
    thick = place.thickness + half
    thin = thick < EXACTLY * wall.limit
    if (thin and abs(thick - wall.thickness) > DOUBT) or _disagree(wall, thick, agree):
        thick = found.exact(index).thickness + half
    return replace(place, thickness=thick)


def _half_of_hole(skin: Skin, hole: Ident) -> float | None:
    """Half the diameter of a hole along the panel's z, as the part shows it; None if it shows none."""
    index = skin.part.features.index(hole) if hole in skin.part.features else -1
    upright = np.flatnonzero((skin.part.feature == index) & (np.abs(skin.normals[:, 2]) < UPRIGHT))
    if not len(upright):
        return None
    places = skin.part.vertices[np.unique(skin.part.triangles[upright])]
    return circle_of_points(places[:, :2])[2] / 2


def _finding(wall: Wall, place: ThinPlace | None, sure: float, units: Units) -> Finding:
    """Return the wall's own finding; measured thinner than its limit by more than `sure` it fails."""
    if place is None:
        return wall.finding(units)
    thin = wall.is_enough and place.thickness < wall.limit - sure
    found = replace(wall, thickness=place.thickness).finding(units) if thin else wall.finding(units)
    return replace(found, measured=place.thickness, closed_form=wall.thickness, at=place.at)


def _disagree(wall: Wall, thick: float, agree: float) -> bool:
    """Return whether the mesh has less than was planned, or more where the plan gives the wall exactly."""
    off = wall.thickness - thick
    return off > agree or (-off > agree and not wall.bound)


def _disagreement(wall: Wall, place: ThinPlace) -> Finding:
    """Return the finding that plan and mesh tell two walls: one of them is wrong, so it fails."""
    off = wall.thickness - place.thickness
    less = "less" if off > 0 else "more"
    return state(
        "wall.disagreement",
        Verdict.FAIL,
        f"{wall.what}: {less} on the mesh than planned",
        wall.thickness,
        wall.limit,
        measured=place.thickness,
        at=place.at,
        between=wall.between,
        source=f"plan and mesh within {AGREE:g}",
        advice=f"the part has {less} material there than was planned; do not use it before you know why",
    )


def _unknown(found: MeasuredWalls, least: float, sure: float, units: Units) -> Iterator[Finding]:
    thin = [number for number in found.strange if found.places[number].thickness < least + CHORDS]
    for place in thinnest_first(map(found.exact, thin)):
        if place.thickness < least - sure:
            yield _thin("wall.unknown", place, least, "thinner than any limit of the plan", units=units)


def _labels(found: MeasuredWalls, limit: float, units: Units) -> Iterator[Finding]:
    for name, groups in found.behind.items():
        place = found.thinnest(groups)
        if place is not None:
            what, advice = f"material behind {name}", "sink the label less, or leave it out: label: false"
            source = "as much as the floor under a pocket"
            thin = _thin("wall.label", place, limit, source, what=what, advice=advice, units=units)
            yield replace(thin, case=name.id)


def _thin(
    code: str,
    place: ThinPlace,
    limit: float,
    source: str,
    *,
    what: str = "",
    advice: str = "",
    missed: Verdict = Verdict.FAIL,
    units: Units = Units.MM,
) -> Finding:
    """Return a thin place as a finding, in its own words where it has none of others'."""
    one, other = place.between
    named = "knife's edge" if place.thickness < 1e-3 else "wall"
    return at_least(
        code,
        None,
        limit,
        what or (f"{named}, {one} to {other}" if one != other else f"{named} in {one}"),
        measured=place.thickness,
        missed=missed,
        at=place.at,
        between=place.between,
        source=f"{source}; {MEASURED}",
        advice=advice or f"{units.at_least(limit - place.thickness)} more material is needed there",
    )
