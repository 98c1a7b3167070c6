"""Whether the material bears the heat of its place for years."""

from __future__ import annotations

from mounts.findings.report import Finding, Verdict
from mounts.load.models.limits import Limits
from mounts.load.models.workshop import Material

SOURCE = "derived from published cabin temperatures; behind a door trim no measurement was found"


def heat(material: Material, place: str, limits: Limits) -> Finding:
    """Pass when the upper service temperature reaches the place's; warn when only the softening temperature does."""
    design = limits.temperature(place)
    verdict, advice = Verdict.PASS, ""
    if material.service < design:
        softens = material.softens >= design
        verdict = Verdict.WARN if softens else Verdict.FAIL
        held = "only just keeps its shape" if softens else "softens"
        advice = f"{material.name} {held} at {design:g} °C; take a material whose service temperature reaches it"
    return Finding(
        code="heat",
        verdict=verdict,
        what=f"{material.name} in a {place}",
        closed_form=material.service,
        limit=design,
        unit="C",
        source=SOURCE,
        advice=advice,
    )
