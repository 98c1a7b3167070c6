"""Whether it is known how much smaller than drawn this printer prints holes."""

from __future__ import annotations

from mounts.design.fits import knows_growth
from mounts.findings.report import Finding, Verdict
from mounts.load.models.workshop import Material, Printer


def growth_finding(printer: Printer, material: Material) -> Finding:
    """What a hole is drawn wider by so that it comes out true; a warning when that was never measured."""
    known, name = knows_growth(printer, material.name), material.name
    how = "the slicer corrects it" if printer.slicer_corrects else f"measured on {printer.name}"
    coupon = f"mounts coupon {printer.name} --material {name}"
    advice = f"print the coupon ({coupon}), or measure a hole and write hole_growth: {{{name}: …}} into {printer.name}"
    return Finding(
        code="fit.growth",
        verdict=Verdict.PASS if known else Verdict.WARN,
        what=f"hole growth in {name}, {how if known else 'not measured'}",
        closed_form=printer.growth(name),
        source="the printer's file; print guides say 0.1 to 0.2",
        advice="" if known else advice,
    )
