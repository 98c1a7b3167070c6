"""Whether the material bears the heat of its place for years."""

from __future__ import annotations

from mounts.findings.compare import at_least
from mounts.findings.report import Finding, Verdict
from mounts.load.models.limits import Limits
from mounts.load.models.workshop import Material

SOURCE = "derived from published cabin temperatures; behind a door trim no measurement was found"


def heat(material: Material, place: str, limits: Limits) -> Finding:
    """Pass when the upper service temperature reaches the place's; warn when only the softening temperature does."""
    design = limits.temperature(place)
    shaped = material.softens >= design
    held = "only just keeps its shape" if shaped else "softens"
    what = f"{material.name} in a {place}"
    value = material.service
    advice = f"{material.name} {held} at {design:g} °C; take a material whose service temperature reaches it"
    return at_least(
        "heat", value, design, what, missed=Verdict.WARN if shaped else Verdict.FAIL, source=SOURCE, advice=advice
    )
