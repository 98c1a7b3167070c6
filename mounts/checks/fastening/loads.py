"""A fastener under load: what gives first, and by how much it is strained."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mounts.design.loads import (
    IN_LINE,
    REPEATED,
    bearing_area,
    shear_off,
)
from mounts.findings.compare import at_most
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import Array, Vector
from mounts.geometry.outline import Outline
from mounts.geometry.ties import least_of
from mounts.identity import Ident, Role, called
from mounts.load.models.fastener import Grip
from mounts.load.models.workshop import Material

HOLD_DIAMETER = 4.0  # mm of the screw for which a material says what holds it
SLAM = "ISO 16750-3, doors and flaps, from any direction, dynamic factor 1.77"


@dataclass(frozen=True, slots=True)
class Link:
    """First point of failure: what it is, the force that it bears, and the source."""

    what: str
    bears: float
    source: str


@dataclass(frozen=True, slots=True)
class PointMass:
    """A mass in kg and its centre in the panel frame."""

    mass: float
    centre: Vector


def lever_of(points: Array, outline: Outline) -> float:
    """Return the distance from screws on one line to the nearer edge of the base beside it, mm."""
    centre = points.mean(axis=0)
    aside = np.linalg.svd(points - centre)[2][1]
    angle = float(np.degrees(np.arctan2(aside[1], aside[0])))
    along = float(centre @ aside)
    return max(min(outline.support(angle) - along, outline.support(angle + 180) + along), IN_LINE)


def grip_link(grip: Grip, weak: float, material: Material) -> Link:
    """Return what gives first round a fastener: what must shear, or the sheet round it where that is published.

    A sheet holds a screw by its diameter (Wood Handbook, FPL-GTR-282, chapter 8, wood screws; from memory).

    Args:
        grip: what must shear.
        weak: strength of the material along it, MPa.
        material: that it is.
    """
    link = Link(grip.what, grip.share * shear_off(grip.across, grip.long, weak), grip.source)
    if material.screw_hold is None:
        return link
    held = REPEATED * material.screw_hold * grip.long * grip.across / HOLD_DIAMETER
    return min(link, Link("screw out of the sheet", held, "the sheet's own figure"), key=lambda one: one.bears)


def drawn_link(what: str, sizes: tuple[float, float], over: float, strengths: tuple[float, float]) -> Link:
    """Return what fails first where a nut, or an insert set from behind, is drawn against the material over it.

    Args:
        what: it is.
        sizes: its own diameter and the hole's that it bears round.
        over: how thick that material is.
        strengths: of it, along the layers and across, MPa.
    """
    links = [
        Link(f"plastic under the {what}", bearing_area(*sizes) * strengths[0], f"bearing area of the {what}"),
        Link(f"{what} through the plastic", shear_off(sizes[0], over, strengths[1]), "π d t σ / √3"),
    ]
    return least_of(links, key=lambda one: one.bears)


def load_finding(
    code: str,
    pulled: tuple[str, Ident, float, float | None],
    link: Link,
    at: Vector,
    advice: str,
    *,
    source: str = SLAM,
    missed: Verdict = Verdict.FAIL,
) -> Finding:
    """Return a pull (how, on what, planned, measured) against what fails first; the finished part's decides."""
    how, screw, planned, measured = pulled
    return at_most(
        code,
        planned,
        link.bears,
        f"{how} on {screw}, {link.what}",
        measured=measured,
        missed=missed,
        at=at,
        between=(screw, called(Role.LIMIT, link.what)),
        source=f"{source}; {link.source}",
        advice=advice,
    )
