"""The readings of a coupon from their file, and the empty file to be filled in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from pydantic import ValidationError

from mounts.errors import InputError
from mounts.load.editing.template import format_scalar
from mounts.load.models.coupon import CouponReadings
from mounts.load.parse.document import Document, read
from mounts.load.parse.messages import validation_problems

GROUPS = {
    "bars": "over the ends, on their edges above the first layer; several readings as [119.4, 119.5]",
    "ribs": "thickness, at half height; the figure is what was drawn",
    "pegs": "diameter, the mean of two across, at half height",
    "holes": "diameter, the mean of two across; under 6 the shank of a drill that just goes in",
    "fits": "the loose plug in each hole: no, press (vice or mallet), push (by hand, stays), slide, free (rattles)",
    "inserts": "one insert in each pocket: tight (a bulge, or will not go down), good, loose (turns or tilts)",
}


def load_readings(path: Path) -> tuple[CouponReadings, Document]:
    """Load the readings in a file, with the document that holds their places.

    Raises:
        InputError: with every problem found.
    """
    document = read(path, unfilled=True)
    try:
        found = CouponReadings.model_validate(document.data)
    except ValidationError as error:
        raise InputError(
            *document.problems, *validation_problems(error, CouponReadings, document, document.problems)
        ) from error
    if document.problems:
        raise InputError(*document.problems)
    return found, document


def blank_readings(printer: str, material: str, insert: str, steps: Mapping[str, Sequence[str]]) -> str:
    """Return the text of a coupon's file to fill in: every step with its value left empty.

    Args:
        printer, material, insert: names.
        steps: keys of each of GROUPS.
    """
    lines = [
        f"# Readings of the coupon of {printer} in {material}. Let it cool on the bed first. Write each one behind its",
        "# key; leave empty what you did not read. Then: mounts coupon PRINTER --readings THIS-FILE",
        "kind: coupon",
        f"printer: {format_scalar(printer)}",
        f"material: {format_scalar(material)}",
        f"insert: {format_scalar(insert)}",
        "measured: {by: , on: }",
        "caliper: 0.05                        # one standard deviation of your readings",
    ]
    for group, told in GROUPS.items():
        lines += ["", f"{group}:".ljust(37) + f"# {told}", *(f"  {key}:" for key in steps[group])]
    return "\n".join(lines) + "\n"
