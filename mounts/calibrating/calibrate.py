"""A coupon's readings carried into the printer's file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from mounts.calibrating.coupon import CouponRequest, find_request
from mounts.calibrating.entries import printer_entries, result_comment
from mounts.calibrating.fit import CouponFit, fit_coupon
from mounts.errors import InputError, Problem
from mounts.load.catalogue.folders import nearest_profiles, short_path
from mounts.load.catalogue.shipped import shipped_library
from mounts.load.editing.edit import Entries, set_entries
from mounts.load.parse.document import parse
from mounts.load.resolve.coupon import load_readings
from mounts.load.resolve.library import find_library, validate_profile
from mounts.write.files import publish

NOT_YOURS = "what ships with the program stays as it is: first make it yours with mounts new printer {0} --from {0}"


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
