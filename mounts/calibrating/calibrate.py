"""A coupon's readings carried into the printer's file.

The printer's file with what its coupon showed, and the same for the screen.

Fit of a coupon's readings: what the printer's file should say.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

from mounts.calibrating.coupon import CouponRequest, find_request
from mounts.design.calibration import GAUGE, Estimated, Growth, Length, Scale, fit_growth, fit_scale, middle_step
from mounts.errors import InputError, Problem
from mounts.kinds.coupon.plan import CouponPlan, CouponStep
from mounts.lengths import Units
from mounts.load.catalogue.folders import nearest_profiles, shipped_library, short_path
from mounts.load.editing.edit import Entries, format_by_size, set_entries
from mounts.load.models.coupon import FELT, CouponReadings
from mounts.load.models.workshop import USUAL_HOLE, Printer
from mounts.load.parse.document import Document, parse
from mounts.load.parse.typed_units import find_units
from mounts.load.resolve.coupon import load_readings
from mounts.load.resolve.library import find_library, validate_profile
from mounts.write.files import publish

FAR, FAR_PCT = 1.0, 3.0  # mm, and per cent of a size, by which a reading that is none of it differs
UNKNOWN = Estimated(0.0, 0.3)  # shrink in per cent where no bar was read: half of what such plastics may have
SIZES = (3.0, 6.0, 12.0, 20.0)  # at which hole growth is written down; between them it is interpolated
MATTERS = 0.1  # mm over a bar: less is not worth a change of the machine
SURE = 2.0  # standard deviations that tell a difference from nothing
CORRECTED = "what is left after the slicer's correction; change it there"
NOT_YOURS = "what ships with the program stays as it is: first make it yours with mounts new printer {0} --from {0}"


@dataclass(frozen=True, slots=True)
class CouponFit:
    """Values fitted to a coupon's readings.

    Attributes:
        scale: scale of lengths, None where bars x and y were not read.
        growth: growth of holes, None where none was read.
        insert: hole growth for insert pockets, None where none was tried.
        fits: clearance as it comes out at which the plug went in, by fit word.
        missing: groups of which nothing was read.
    """

    scale: Scale | None
    growth: Growth | None
    insert: Estimated | None
    fits: dict[str, Estimated]
    missing: tuple[str, ...]

    @property
    def outside(self) -> Estimated | None:
        """Spread of outsides, mm; None where neither rib nor peg was read."""
        return self.scale.outside if self.scale and not {"ribs", "pegs"} <= set(self.missing) else None


def fit_coupon(readings: CouponReadings, plan: CouponPlan, hole: float, document: Document) -> CouponFit:
    """Fit the printer's corrections to the readings, each value with its uncertainty.

    Args:
        readings: readings of the coupon.
        plan: plan of the coupon.
        hole: of the insert that its pockets are for, as its maker asks, mm.
        document: document of the readings, for messages.

    Raises:
        InputError: for a key that the coupon has not, a reading far from what was drawn, fits that do not loosen, or
            a file in which nothing was read.
    """
    problems = [*_implausible_readings(readings, plan, document), *_contradictory_steps(readings, document)]
    groups = ("bars", "ribs", "pegs", "holes", "fits", "inserts")
    missing = tuple(group for group in groups if not any(getattr(readings, group).values()))
    if len(missing) == len(groups):
        problems.append(document.problem((), "nothing was read; write the readings behind their keys"))
    if problems:
        raise InputError(*problems)
    scale = fit_scale(_lengths(readings, plan), readings.caliper)
    shrink = scale.shrink if scale else UNKNOWN
    holes = [(step.size, one) for step in plan.group("holes") for one in readings.holes.get(step.key, ())]
    growth = fit_growth(holes, shrink, readings.caliper)
    outside = scale.outside if scale else Estimated(0.0, 0.1)
    return CouponFit(scale, growth, _insert(readings, plan, hole), _fits(readings, plan, growth, outside), missing)


def _lengths(readings: CouponReadings, plan: CouponPlan) -> list[Length]:
    found = [Length(plan.length, bar.angle, one) for bar in plan.bars for one in readings.bars.get(bar.key, ())]
    found += [Length(s.size, s.angle, one) for s in plan.group("ribs") for one in readings.ribs.get(s.key, ())]
    return found + [Length(s.size, None, one) for s in plan.group("pegs") for one in readings.pegs.get(s.key, ())]


def _fits(
    readings: CouponReadings, plan: CouponPlan, growth: Growth | None, outside: Estimated
) -> dict[str, Estimated]:
    """Return the finished clearance of each fit word: as drawn, less what the hole lost and the plug gained."""
    lost = growth.at(plan.plug) if growth else Estimated(0.0, 0.2)
    steps = plan.group("fits")
    apart = steps[1].size - steps[0].size
    found = {}
    for word in FELT[1:]:
        drawn = [step.size - plan.plug for step in steps if readings.fits.get(step.key) == word]
        if drawn:
            middle = middle_step(drawn, apart, (lost.sd**2 + outside.sd**2) ** 0.5)
            found[word] = Estimated(middle.value - lost.value - outside.value, middle.sd)
    return found


def _insert(readings: CouponReadings, plan: CouponPlan, hole: float) -> Estimated | None:
    """Return the growth of insert pockets: from the good ones, else from between tight and loose."""
    steps = plan.group("inserts")
    said = {word: [s.size for s in steps if readings.inserts.get(s.key) == word] for word in ("tight", "good", "loose")}
    tried = said["good"] or ([max(said["tight"]), min(said["loose"])] if said["tight"] and said["loose"] else [])
    if not tried:
        return None
    middle = middle_step(tried, steps[1].size - steps[0].size)
    return Estimated(middle.value - hole, middle.sd)


def _implausible_readings(readings: CouponReadings, plan: CouponPlan, document: Document) -> Iterator[Problem]:
    """Yield keys that the coupon has not, and readings too far from what was drawn."""
    for group in ("bars", "ribs", "pegs", "holes", "fits", "inserts"):
        sizes = {bar.key: plan.length for bar in plan.bars} if group == "bars" else _sizes(plan.group(group))
        for key, read in getattr(readings, group).items():
            if key not in sizes:
                what = f'the coupon has no "{key}" under {group}; it has {", ".join(sizes)}'
                yield document.problem((group, key), what, key=True)
            elif isinstance(read, tuple):
                most = min(FAR, 0.5 * sizes[key]) if group != "bars" else FAR_PCT / 100 * sizes[key]
                for one in read:
                    if abs(one - sizes[key]) > most:
                        units = find_units(document, readings)
                        what = f"{units(one)} is read where {units(sizes[key])} was drawn"
                        what = f"{what}; read it again, or write its unit"
                        yield document.problem((group, key), what)


def _sizes(steps: Sequence[CouponStep]) -> dict[str, float]:
    return {step.key: step.size for step in steps}


def _contradictory_steps(readings: CouponReadings, document: Document) -> Iterator[Problem]:
    """Yield fits or inserts that get tighter as the holes get wider."""
    for group, order in (("fits", FELT), ("inserts", ("tight", "good", "loose"))):
        said = sorted(
            (float(key), key, word) for key, word in getattr(readings, group).items() if word and _number(key)
        )
        for (_, one, before), (_, other, word) in pairwise(said):
            if order.index(word) < order.index(before):
                what = f"{other} is {word} and the narrower {one} is {before}; a wider hole cannot be tighter"
                yield document.problem((group, other), what)


def _number(key: str) -> bool:
    return key.replace(".", "", 1).isdigit()


def printer_entries(found: CouponFit, printer: Printer, material: str) -> Entries:
    """Return what goes into the printer's file: only fits where the slicer corrects the rest."""
    made: dict[tuple[str, str], str] = {}
    if not printer.slicer_corrects:
        if found.scale:
            made["shrink_pct", material] = f"{found.scale.shrink.value:.2f}"
            made["shrink_sd_pct", material] = f"{found.scale.shrink.sd:.2f}"
        if found.outside:
            made["outside_growth", material] = f"{found.outside.value:.3f}"
        if found.growth:
            growth = found.growth
            at = [size for size in SIZES if growth.sizes[0] <= size <= growth.sizes[1]] or [growth.sizes[0]]
            told = format_by_size((size, round(growth.at(size).value, 3)) for size in at)
            made["hole_growth", material] = told if len(at) > 1 else f"{growth.at(at[0]).value:.3f}"
            made["hole_growth_sd", material] = f"{growth.at(USUAL_HOLE).sd:.3f}"
        if found.insert:
            made["insert_growth", material] = f"{found.insert.value:.2f}"
    if found.fits:
        told = ", ".join(f"{word}: {known.value:.3f}" for word, known in found.fits.items())
        made["fits", material] = f"{{{told}}}"
    return made


def result_comment(found: CouponFit, readings: CouponReadings) -> str:
    """Return the comment with the values' uncertainties and whose readings they come from."""
    material = readings.material
    said = [f"shrink ± {found.scale.shrink.sd:.2f}"] if found.scale else []
    said += [f"outsides ± {found.outside.sd:.3f}"] if found.outside else []
    said += [f"holes ± {found.growth.at(6.0).sd:.3f} at 6"] if found.growth else []
    said += [f"inserts ± {found.insert.sd:.2f}"] if found.insert else []
    said += [f"fits ± {max(known.sd for known in found.fits.values()):.3f}"] if found.fits else []
    whose = ", ".join(str(part) for part in (readings.measured.by, readings.measured.on) if part)
    return f"coupon of {material}: " + "; ".join([", ".join(said), *([f"read by {whose}"] if whose else [])])


def result_lines(found: CouponFit, printer: Printer, units: Units) -> Iterator[tuple[str, str, str]]:
    """Yield lines for the screen: what, how much, what to do, lengths in some units."""
    left = CORRECTED if printer.slicer_corrects else ""
    if found.scale:
        scale = found.scale
        yield "shrink", _pct(scale.shrink), left or f"{units(GAUGE * scale.shrink.value / 100, 2)} over {units(GAUGE)}"
        apart = scale.x.value - scale.y.value
        differ = abs(apart) * GAUGE / 100 > MATTERS and abs(apart) > SURE * (scale.x.sd**2 + scale.y.sd**2) ** 0.5
        yield "  along x", _pct(scale.x), "x and y differ: set them apart in the printer" if differ else ""
        yield "  along y", _pct(scale.y), ""
        if scale.skew:
            off = abs(scale.skew.value) * GAUGE * 0.0174533
            out = off > MATTERS and abs(scale.skew.value) > SURE * scale.skew.sd
            do = f"square the printer: {units(off, 2)} over {units(GAUGE)}" if out else "square"
            yield "skew from x to y", f"{scale.skew.value:+.3f} ± {scale.skew.sd:.3f}°", do
        if found.outside:
            yield "outsides wider by", _write(found.outside, units), left
        if scale.residual is not None:
            yield "  left unexplained", units.named(scale.residual, 3), "root mean square of all outside readings"
    if found.growth:
        for size in (size for size in SIZES if found.growth.sizes[0] <= size <= found.growth.sizes[1]):
            yield f"holes of {units(size)} smaller by", _write(found.growth.at(size), units), left
    if found.insert:
        yield "insert pockets wider by", _write(found.insert, units), ""
    for word, known in found.fits.items():
        sign, what = (-1, "interference") if known.value < 0 else (1, "clearance")
        yield f"{word}: {what}", _write(replace(known, value=sign * known.value), units), ""
    for group in found.missing:
        yield group, "not read", "nothing of it is changed"


def _pct(known: Estimated) -> str:
    return f"{known.value:.2f} ± {known.sd:.2f} %"


def _write(known: Estimated, units: Units) -> str:
    return f"{units(known.value, 3)} ± {units.named(known.sd, 3)}"


@dataclass(frozen=True, slots=True)
class Calibration:
    """Calibration from a coupon's readings, with the text of the printer's file, not written yet.

    Attributes:
        asked: printer, material and insert of the coupon.
        fitted: values fitted to the readings.
        entries: what goes into the printer's file.
        file: the printer's file.
        text: its new text.
        units: in which the readings are typed.
    """

    asked: CouponRequest
    fitted: CouponFit
    entries: Entries
    file: Path
    text: str
    units: Units


def calibrate(printer: str, path: Path, library: Path | Sequence[Path] | None) -> Calibration:
    """Fit the readings in a file, and compose the printer's file with the results.

    Args:
        printer: name of it, which the readings must name too, or its file.
        path: the readings.
        library: folders of profiles that the person asked for.

    Raises:
        InputError: for wrong readings, a printer that ships with the program, and a file that cannot be edited.
    """
    held = find_library(path if nearest_profiles(Path()) is None else None, library)
    readings, document = load_readings(path)
    file = short_path(held.find("printer", printer))
    if readings.printer != file.stem:
        what = f'the readings are of "{readings.printer}"; give that printer, or the readings of "{file.stem}"'
        raise InputError(document.problem(("printer",), what))
    asked = find_request(held, printer, readings.material, readings.insert)
    found = fit_coupon(readings, asked.plan, asked.insert.hole, document)
    if (root := shipped_library()) in file.resolve().parents and nearest_profiles(Path()) not in (root, root.resolve()):
        raise InputError(Problem(NOT_YOURS.format(file.stem), file=file))
    made = printer_entries(found, asked.printer, readings.material)
    before = file.read_bytes().decode("utf-8")
    text = set_entries(before, file, made, result_comment(found, readings)) if made else before
    _refuse_broken(text, file)
    return Calibration(asked, found, made, file, text, find_units(document, readings))


def write_printer(found: Calibration) -> None:
    """Write the printer's file, all of it or none."""
    if found.entries:
        publish(found.file.parent, {found.file.name: found.text.encode()})


def _refuse_broken(text: str, file: Path) -> None:
    """Raise InputError for a printer's file that would not load."""
    loaded = validate_profile("printer", parse(text, file), stem=file.stem)
    if loaded.problems:
        raise InputError(*loaded.problems)
