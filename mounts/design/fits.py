"""Fit words resolved, once, from the size that is fitted and the process that makes it.

A clearance is given on the diameter, or across two faces that lie opposite each other, as it should come out on the
finished part; negative is interference.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

from mounts.load.models.port import Fits, FitWord
from mounts.load.models.workshop import Printer

USUAL_SIZE = 30.0  # mm up to which the clearances of the print guides are taken to hold
USUAL_ERROR = 0.1  # mm, one standard deviation of a usual desktop printer: two of them make the guides' 0.2
SURE = 2.0  # standard deviations to either side that count as all parts
UNMEASURED = 0.2  # mm by which a hole prints small where nobody has measured it (print guides)


@dataclass(frozen=True, slots=True)
class Fit:
    """One face of a part against what it sits on.

    Attributes:
        word: press, push, slide or free.
        size: least width across of what is fitted, mm.
        clearance: as it should come out, mm on the diameter.
        tighter, looser: how far it may come out below and above that, at two standard deviations, mm.
        growth: mm that a hole is drawn wider by so that it comes out true, an outside narrower.
    """

    word: FitWord
    size: float
    clearance: float
    tighter: float
    looser: float
    growth: float = 0.0

    @property
    def tightest(self) -> float:
        """Least clearance."""
        return self.clearance - self.tighter

    @property
    def loosest(self) -> float:
        """Greatest clearance."""
        return self.clearance + self.looser

    @property
    def drawn(self) -> float:
        """Distance that the part is drawn apart from what it sits on, mm on the diameter."""
        return self.clearance + self.growth


def tolerance_unit(size: float) -> float:
    """Return the standard tolerance factor of ISO 286-1 for sizes up to 500 mm, µm: i = 0.45 ∛D + 0.001 D.

    A standard tolerance is a number of these: IT10 64, IT11 100, IT12 160, IT13 250, IT14 400.
    """
    root: float = size ** (1 / 3)
    return 0.45 * root + 0.001 * size


def spread(size: float, printer: Printer) -> float:
    """Return how far a printed size may come out to either side, mm: two standard deviations.

    It grows with the size as ISO 286-1's tolerances do; below 30 mm it gets no less, since a printed line does not.
    """
    return SURE * printer.error * growth_by_size(size)


def resolve(
    word: FitWord,
    size: float,
    fits: Fits,
    printer: Printer,
    *,
    given: float = 0.0,
    hole_in: str | None = None,
    outside_in: str | None = None,
) -> Fit:
    """Return what a fit word means on a printer: as the job says, else as measured on it, else as guides say.

    Args:
        word: press, push, slide or free.
        size: width across of what is fitted, mm.
        fits: the clearances of the words, for a usual printer and sizes up to 30.
        printer: its error scales them, its measured hole growth is added to what is drawn.
        given: how far what is fitted may differ from its size, either way, mm.
        hole_in: the material, where the printed side of the fit is a hole.
        outside_in: the material, where it is an outside.
    """
    felt = printer.felt(hole_in or outside_in or "", word) if word not in fits.model_fields_set else None
    usual = {"press": fits.press, "push": fits.push, "slide": fits.slide, "free": fits.free}[word]
    clearance = growth_by_size(size) * (usual * (printer.error / USUAL_ERROR) if felt is None else felt)
    either = hypot(spread(size, printer), given)
    known = hole_in is None or has_measured_growth(printer, hole_in)
    growth = printer.growth(hole_in, size) if hole_in else printer.spread(outside_in) if outside_in else 0.0
    return Fit(word, size, clearance, either + (0.0 if known else UNMEASURED), either, growth)


def has_measured_growth(printer: Printer, material: str) -> bool:
    """Return whether a printer's holes come out true in a material: measured, or corrected by the slicer."""
    return printer.slicer_corrects or material in printer.hole_growth


def growth_by_size(size: float) -> float:
    """Return how many times the clearances and tolerances of 30 mm a size has; at least 1."""
    return max(1.0, tolerance_unit(size) / tolerance_unit(USUAL_SIZE))
