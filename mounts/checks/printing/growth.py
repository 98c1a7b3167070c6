"""Check that a printer's shrinkage of holes is known."""

from __future__ import annotations

from mounts.design.fits import has_measured_growth
from mounts.findings.compare import state
from mounts.findings.report import Finding, Verdict
from mounts.load.models.workshop import Material, Printer


def growth_finding(printer: Printer, material: Material, growth: float) -> Finding:
    """Return by how much a hole is drawn wider so that it comes out true; a warning when that was never measured."""
    known, name = has_measured_growth(printer, material.name), material.name
    how = "the slicer corrects it" if printer.slicer_corrects else f"measured on {printer.name}"
    return state(
        "fit.growth",
        Verdict.PASS if known else Verdict.WARN,
        f"hole growth in {name}, {how if known else 'not measured'}",
        growth,
        source="the printer's file; print guides say 0.1 to 0.2",
        advice=growth_advice(printer, material),
    )


def growth_advice(printer: Printer, material: Material) -> str:
    """Return how to learn what holes in a material shrink by on a printer."""
    coupon, name = f"mounts coupon {printer.name} --material {material.name}", material.name
    return f"print the coupon ({coupon}), or measure a hole and write hole_growth: {{{name}: …}} into {printer.name}"
