"""Findings on a coupon and on its plug: walls, printing, solids."""

from __future__ import annotations

from mounts.checks.check import solid_findings
from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.walls import wall_findings
from mounts.checks.printing.findings import printing_findings
from mounts.findings.report import Finding, in_order
from mounts.kernels.agreement import Agreement
from mounts.kernels.part import Part
from mounts.kinds.coupon.values import CouponPlan
from mounts.load.models.workshop import Printer


def coupon_findings(plan: CouponPlan, part: Part, agreement: Agreement, printer: Printer) -> tuple[Finding, ...]:
    """Return all findings on the star."""
    walls = wall_findings(part, plan.walls, behind_label=plan.thick / 2, skin=Skin.of(part))
    found = (*walls, *printing_findings(part, printer, labels=plan.labels), *solid_findings(part, agreement))
    return in_order(found)


def plug_findings(part: Part, agreement: Agreement, printer: Printer) -> tuple[Finding, ...]:
    """Return all findings on the loose plug."""
    return in_order((*printing_findings(part, printer), *solid_findings(part, agreement)))
