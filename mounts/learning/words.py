"""Learned values in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mounts.load.models.limits import Limits
from mounts.load.models.outcome import Learned, LearnedPrinter, Outcome


def instrument_lines(learned: Learned) -> Iterator[str]:
    """Yield a line for each instrument."""
    for name, one in learned.instruments.items():
        table = Limits().uncertainty(name)
        yield f"{name}: {one.sd:.2f} ± {one.error:.2f} mm a reading (table {table:g}), {count_mounts(one.mounts)}"


def printer_line(material: str, one: LearnedPrinter) -> str:
    """Return the line of a printer in one material."""
    return (
        f"{count_mounts(one.mounts)} in {material}: shrink {one.shrink_pct:.2f} ± {one.shrink_sd_pct:.2f} %, "
        f"holes {one.hole_growth:.2f} ± {one.hole_growth_sd:.2f} mm small, places ± {one.error:.2f} mm"
    )


def count_mounts(count: int) -> str:
    """Return from how many mounts something was learned."""
    return f"learned from {count} mount{'s' * (count != 1)}"


def went_line(outcomes: Sequence[Outcome]) -> str:
    """Return how many mounts went on, beside what was promised of them; empty where nobody said."""
    said = [one for one in outcomes if one.went_on is not None]
    if not said:
        return ""
    went = sum(one.went_on in ("yes", "tight") for one in said)
    known = [one.promised for one in said if one.promised is not None]
    promised = f"; promised {sum(known) / 100:.1f} of {len(known)}" if known else ""
    return f"went on as printed: {went} of {len(said)}{promised}"
