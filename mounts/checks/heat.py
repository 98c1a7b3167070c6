"""Resistance of the material to the heat and the water of its place for years."""

from __future__ import annotations

from mounts.findings.compare import at_least
from mounts.findings.report import Finding, Verdict
from mounts.load.models.limits import Limits
from mounts.load.models.workshop import Material

SOURCE = "derived from published cabin temperatures; behind a door trim no measurement was found"


WET = "service classes 1 dry, 2 damp, 3 wet (EN 1995-1-1, 2.3.1.3); which place is which: common practice, no source"
CLASSES = {"door": 3, "floor": 2, "boot": 2}  # every other place is dry: 1


def climate_findings(material: Material, place: str, limits: Limits) -> tuple[Finding, ...]:
    """Return the finding of heat and, for a sheet whose service class is given, that of water."""
    found = heat_finding(material, place, limits)
    if material.service_class is None:
        return (found,)
    needed = CLASSES.get(place, 1)
    what = f"service class of {material.name} in a {place}"
    missed = Verdict.WARN if needed - material.service_class == 1 else Verdict.FAIL
    advice = (
        f"{material.name} swells there and lets go of its screws; seal every edge, or take a sheet that bears water"
    )
    return (found, at_least("wet", material.service_class, needed, what, missed=missed, source=WET, advice=advice))


def heat_finding(material: Material, place: str, limits: Limits) -> Finding:
    """Return pass when the upper service temperature reaches the place's, warn when only the softening one does."""
    design = limits.temperature(place)
    shaped = material.softens >= design
    held = "only just keeps its shape there" if shaped else f"softens at {material.softens:g} °C"
    what = f"service temperature of {material.name} in a {place}"
    value = material.service
    advice = f"take a material whose service temperature reaches {design:g} °C: {material.name} {held}"
    return at_least(
        "heat", value, design, what, missed=Verdict.WARN if shaped else Verdict.FAIL, source=SOURCE, advice=advice
    )
