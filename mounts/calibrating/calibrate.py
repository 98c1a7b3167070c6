"""A coupon's readings carried into the printer's file.

The printer's file with what its coupon told, and the same for the screen.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from mounts.calibrating.coupon import CouponRequest, find_request
from mounts.calibrating.fit import CouponFit, fit_coupon
from mounts.design.calibration import GAUGE, Estimated
from mounts.errors import InputError, Problem
from mounts.load.catalogue.folders import nearest_profiles, shipped_library, short_path
from mounts.load.editing.edit import Entries, format_by_size, set_entries
from mounts.load.models.coupon import CouponReadings
from mounts.load.models.workshop import Printer
from mounts.load.parse.document import parse
from mounts.load.resolve.coupon import load_readings
from mounts.load.resolve.library import find_library, validate_profile
from mounts.write.files import publish

SIZES = (3.0, 6.0, 12.0, 20.0)  # at which hole growth is written down; between them it is interpolated
MATTERS = 0.1  # mm over a bar: less is not worth a change of the machine
SURE = 2.0  # standard deviations that tell a difference from nothing
CORRECTED = "what is left after the slicer's correction; change it there"
NOT_YOURS = "what ships with the program stays as it is: first make it yours with mounts new printer {0} --from {0}"


def printer_entries(found: CouponFit, printer: Printer, material: str) -> Entries:
    """Return what goes into the printer's file: only fits where the slicer corrects the rest."""
    made: dict[tuple[str, str], str] = {}
    if not printer.slicer_corrects:
        if found.scale:
            made["shrink_pct", material] = f"{found.scale.shrink.value:.2f}"
        if found.outside:
            made["outside_growth", material] = f"{found.outside.value:.3f}"
        if found.growth:
            growth = found.growth
            at = [size for size in SIZES if growth.sizes[0] <= size <= growth.sizes[1]] or [growth.sizes[0]]
            told = format_by_size((size, round(growth.at(size).value, 3)) for size in at)
            made["hole_growth", material] = told if len(at) > 1 else f"{growth.at(at[0]).value:.3f}"
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


def result_lines(found: CouponFit, printer: Printer) -> Iterator[tuple[str, str, str]]:
    """Yield lines for the screen: what, how much, what to do."""
    left = CORRECTED if printer.slicer_corrects else ""
    if found.scale:
        scale = found.scale
        yield "shrink", _pct(scale.shrink), left or f"{GAUGE * scale.shrink.value / 100:.2f} over {GAUGE:g}"
        apart = scale.x.value - scale.y.value
        differ = abs(apart) * GAUGE / 100 > MATTERS and abs(apart) > SURE * (scale.x.sd**2 + scale.y.sd**2) ** 0.5
        yield "  along x", _pct(scale.x), "x and y differ: set them apart in the printer" if differ else ""
        yield "  along y", _pct(scale.y), ""
        if scale.skew:
            off = abs(scale.skew.value) * GAUGE * 0.0174533
            out = off > MATTERS and abs(scale.skew.value) > SURE * scale.skew.sd
            do = f"square the printer: {off:.2f} over {GAUGE:g}" if out else "square"
            yield "skew from x to y", f"{scale.skew.value:+.3f} ± {scale.skew.sd:.3f}°", do
        if found.outside:
            yield "outsides wider by", _mm(found.outside), left
        if scale.residual is not None:
            yield "  left unexplained", f"{scale.residual:.3f} mm", "root mean square of all outside readings"
    if found.growth:
        for size in (size for size in SIZES if found.growth.sizes[0] <= size <= found.growth.sizes[1]):
            yield f"holes of {size:g} smaller by", _mm(found.growth.at(size)), left
    if found.insert:
        yield "insert pockets wider by", _mm(found.insert), ""
    for word, known in found.fits.items():
        yield f"{word}: clearance", _mm(known), "negative is interference" if known.value < 0 else ""
    for group in found.missing:
        yield group, "not read", "nothing of it is changed"


def _pct(known: Estimated) -> str:
    return f"{known.value:.2f} ± {known.sd:.2f} %"


def _mm(known: Estimated) -> str:
    return f"{known.value:.3f} ± {known.sd:.3f} mm"


@dataclass(frozen=True, slots=True)
class Calibration:
    """Calibration from a coupon's readings, with the text of the printer's file, not written yet.

    Attributes:
        asked: printer, material and insert of the coupon.
        fitted: values fitted to the readings.
        entries: what goes into the printer's file.
        file: the printer's file.
        text: its new text.
    """

    asked: CouponRequest
    fitted: CouponFit
    entries: Entries
    file: Path
    text: str


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
    return Calibration(asked, found, made, file, text)


def write_printer(found: Calibration) -> None:
    """Write the printer's file, all of it or none."""
    if found.entries:
        publish(found.file.parent, {found.file.name: found.text.encode()})


def _refuse_broken(text: str, file: Path) -> None:
    """Raise InputError for a printer's file that would not load."""
    loaded = validate_profile("printer", parse(text, file), stem=file.stem)
    if loaded.problems:
        raise InputError(*loaded.problems)
