"""The coupon planned, built by both kernels, checked, and its files."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from pathlib import Path

from mounts.checks.check import coupon_findings, plug_findings
from mounts.errors import InputError, Problem
from mounts.findings.report import PartReport, Report, Verdict
from mounts.kernels.part import Part
from mounts.kinds.coupon.plan import CouponPlan, coupon_characters, fits_insert, plan_coupon
from mounts.kinds.coupon.shape import draw_coupon, draw_plug
from mounts.load.formats.font import load_glyphs
from mounts.load.models.hardware import Insert
from mounts.load.models.workshop import Material, Printer
from mounts.load.resolve.coupon import GROUPS, blank_readings
from mounts.load.resolve.library import Library
from mounts.pipeline import build
from mounts.write.card.coupon import coupon_sheet
from mounts.write.files import check_folder, publish, safe_name
from mounts.write.output import NOT_OK, Wish, report_files, solid_files
from mounts.write.threemf import PlacedPart, Transform, threemf_bytes

READINGS = "readings.yaml"
BESIDE = (55.0, -22.5)  # where the plug lies on the plate: from the star's middle, and its direction; between two bars
SPEED = 60.0  # mm/s, a usual desktop printer's line, from which the time is estimated


@dataclass(frozen=True, slots=True)
class CouponRequest:
    """Printer, material and insert that the coupon is for."""

    printer: Printer
    material: Material
    insert: Insert

    @property
    def plan(self) -> CouponPlan:
        """Plan of the coupon."""
        return plan_coupon(self.printer, self.material, self.insert, load_glyphs(coupon_characters(self.material)))


@dataclass(frozen=True, slots=True)
class Coupon:
    """Star and plug, each with its report."""

    asked: CouponRequest
    plan: CouponPlan
    star: Part
    plug: Part
    report: Report

    @property
    def grams(self) -> float:
        """Mass of star and plug, printed solid, g."""
        return (self.star.volume + self.plug.volume) * self.asked.material.density * 1e-6

    @property
    def minutes(self) -> float:
        """Time that the lines of star and plug take at SPEED, printed solid, minutes."""
        line = self.asked.printer.nozzle * self.asked.printer.layer
        return (self.star.volume + self.plug.volume) / line / SPEED / 60


def find_request(library: Library, printer: str, material: str, insert: str) -> CouponRequest:
    """Look up printer, material and insert.

    Raises:
        InputError: for one that is not there or does not load, and for hardware that is no insert.
    """
    held = [library.get(kind, name) for kind, name in (("printer", printer), ("material", material))]
    problems = [problem for one in held for problem in one.problems]
    if isinstance(of := held[1].value, Material) and (why := of.unfit("print")):
        problems.append(Problem(f"{why}; a coupon is a print"))
    item = library.item(insert)
    if item is None or not isinstance(item[0], Insert):
        names = ", ".join(name for name, (one, _) in library.hardware().items() if isinstance(one, Insert))
        problems.append(Problem(f'"{insert}" is no heat-set insert of the library; there: {names}'))
    elif not fits_insert(item[0]):
        what = (
            f"{insert} needs pockets wider than the coupon's bar; take one of M5 or less and a hole of its own for this"
        )
        problems.append(Problem(what))
    if problems or item is None or not isinstance(item[0], Insert):
        raise InputError(*problems)
    return CouponRequest(held[0].value, held[1].value, item[0])


def make_coupon(asked: CouponRequest) -> Coupon:
    """Build and check the coupon."""
    plan = asked.plan
    (star, of_star), (plug, of_plug) = build(draw_coupon(plan)), build(draw_plug(plan))
    parts = (
        PartReport("coupon", coupon_findings(plan, star, of_star, asked.printer)),
        PartReport("plug", plug_findings(plug, of_plug, asked.printer)),
    )
    return Coupon(asked, plan, star, plug, Report(plan.name, parts))


def write_coupon(made: Coupon, out: Path, wish: Wish) -> tuple[tuple[str, ...], Path]:
    """Write the coupon's files; readings that were filled in are left alone.

    Returns:
        The names of the files, and their folder.
    """
    folder = out / safe_name(made.plan.name)
    check_folder(folder)
    fails = made.report.verdict is Verdict.FAIL
    title = f"coupon of {made.asked.printer.name} in {made.asked.material.name}"
    files: dict[str, bytes] = {}
    for name, part in (("coupon", made.star), ("plug", made.plug)):
        stem = f"{name}.{NOT_OK}" if fails else name
        files |= {file: data for file, data in solid_files(stem, title, part, wish).items() if not file.endswith("3mf")}
    if "3mf" in wish.formats:
        items = [PlacedPart(made.star, title), PlacedPart(made.plug, "plug", (_beside(),))]
        files[f"coupon.{NOT_OK}.3mf" if fails else "coupon.3mf"] = threemf_bytes(title, items)
    if "pdf" in wish.formats:
        files["coupon.pdf"] = coupon_sheet(made.plan, title, made.grams, wish.paper)
    if not (folder / READINGS).exists():
        files[READINGS] = blank_readings(*_names(made.asked), reading_keys(made.plan)).encode()
    whole, stale = report_files(made.report, files)
    publish(folder, whole, remove=stale)
    return tuple(files), folder


def reading_keys(plan: CouponPlan) -> dict[str, tuple[str, ...]]:
    """Return the keys of every group of readings."""
    found = {group: tuple(step.key for step in plan.group(group)) for group in GROUPS}
    return {**found, "bars": tuple(bar.key for bar in plan.bars)}


def _names(asked: CouponRequest) -> tuple[str, str, str]:
    return asked.printer.name, asked.material.name, asked.insert.name


def _beside() -> Transform:
    x, y = (BESIDE[0] * turn(radians(BESIDE[1])) for turn in (cos, sin))
    return ((1.0, 0.0, 0.0, x), (0.0, 1.0, 0.0, y), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
