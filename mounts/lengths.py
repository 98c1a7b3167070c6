"""Lengths as a person reads them: in millimetres, in inches, or in both, as the job's own files are written.

Everything is computed in mm; `Units` alone writes a length for people. Decimals of an inch are two more than those of
a millimetre, since a thousandth is 0.025 mm. What was typed as a fraction comes back as one: 7.14375 is `9/32 in`.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from fractions import Fraction
from math import ceil, copysign, floor

INCH = 25.4  # mm
TAPE = 64  # graduations of an inch on the finest tape
ALIKE = 0.005  # mm to which a length lies on a graduation
EXTRA = 2  # decimals that inches have more than mm
FINE = {"mm": 0.1, "inches": 0.01, "both": 0.1}  # steps in which a remedy is written, in its own unit


class Units(StrEnum):
    """Unit in which lengths are written for a person; a frozen value that a job carries."""

    MM = "mm"
    INCHES = "inches"
    BOTH = "both"

    @classmethod
    def shared(cls, found: Iterable[Units]) -> Units:
        """Return the units in which lengths of several things are written together: both where theirs differ."""
        every = set(found)
        return every.pop() if len(every) == 1 else cls.BOTH if every else cls.MM

    def __call__(self, length: float, places: int | None = None) -> str:
        """Return a length, mm, as text: plain where that is mm, `9/32 in`, or `7.14 (9/32 in)`.

        Args:
            length: mm, of either sign.
            places: decimals in mm of what was computed; as it was given where None, then in fractions of an inch too.

        >>> Units.MM(7.14375), Units.INCHES(7.14375), Units.BOTH(7.14375), Units.INCHES(88.44, 1)
        ('7.14375', '9/32 in', '7.14 (9/32 in)', '3.482 in')
        """
        if self is Units.MM:
            return f"{length:g}" if places is None else f"{length:.{places}f}"
        inches = f"{write_inches(length, places)} in"
        plain = f"{round(length, 2):g}" if places is None else f"{length:.{places}f}"
        return inches if self is Units.INCHES else f"{plain} ({inches})"

    def named(self, length: float, places: int | None = None) -> str:
        """Return a length with its unit, mm too: `1400 mm`, `55.12 in`."""
        text = self(length, places)
        return text.replace(" (", " mm (") if self is Units.BOTH else f"{text} mm" if self is Units.MM else text

    def read(self, length: float) -> str:
        """Return a length as a caliper shows it: 7.19, not 7.1882, which an inch may come to."""
        return self(round(length, 2) if self is Units.MM else length)

    def area(self, size: float) -> str:
        """Return an area given in mm² with its unit: `539 mm²`, `0.84 in²`."""
        plain, inches = f"{size:.0f} mm²", f"{size / INCH**2:.2f} in²"
        return plain if self is Units.MM else inches if self is Units.INCHES else f"{plain} ({inches})"

    @property
    def scale(self) -> float:
        """Millimetres in the unit that tables and keys are written in: of both, mm."""
        return INCH if self is Units.INCHES else 1.0

    @property
    def sign(self) -> str:
        """Return what stands behind a figure in that unit; nothing for mm, which plain numbers are."""
        return " in" if self is Units.INCHES else ""

    @property
    def word(self) -> str:
        """Name of that unit for the head of a table."""
        return "in" if self is Units.INCHES else "mm"

    @property
    def step(self) -> float:
        """Step, mm, in which a remedy is written, so that the figure that is read is the one that was tried."""
        return FINE[self] * self.scale

    def cell(self, length: float, places: int = 1, sign: str = "") -> str:
        """Return a length for a table whose head names the unit; `sign` is that of a format, as "+"."""
        more = EXTRA if self is Units.INCHES else 0
        return f"{length / self.scale:{sign}.{places + more}f}"

    def figure(self, length: float, places: int | None = None) -> str:
        """Return a length in that unit without its sign, where room is little or a sign stands beside it."""
        return write_inches(length, places or 1) if self is Units.INCHES else Units.MM(length, places)

    def key(self, length: float, up: bool | None = None) -> str:
        """Return a length as it may be pasted into a file, rounded to a step: up, down, or to the nearest if None.

        >>> Units.MM.key(23.28), Units.INCHES.key(23.28, up=True), Units.INCHES.key(23.28, up=False)
        ('23.3', '0.92 in', '0.91 in')
        """
        steps, near = length / self.step, 1e-5
        whole = round(steps) if up is None else ceil(steps - near) if up else floor(steps + near)
        return f"{round(whole * FINE[self], 2):g}{self.sign}"

    def at_least(self, missing: float) -> str:
        """Return what a remedy gives so that no less than what is missing is given: rounded up, one step at least.

        >>> Units.MM.at_least(0.004), Units.MM.at_least(1.21), Units.INCHES.at_least(1.21), Units.BOTH.at_least(1.21)
        ('0.1', '1.3', '0.05 in', '1.3 (0.06 in)')
        """
        steps = max(ceil(missing / self.step - 1e-5), 1)
        if self is Units.BOTH:
            return f"{steps * FINE[self]:.1f} ({Units.INCHES.at_least(steps * self.step)})"
        return f"{steps * FINE[self]:.{2 if self is Units.INCHES else 1}f}{self.sign}"


def write_inches(length: float, places: int | None = None) -> str:
    """Return a length, mm, in inches: a fraction of 1/64 where it was given as one, else decimals.

    >>> write_inches(165.1), write_inches(-3.175), write_inches(88.44), write_inches(1400.0, 0)
    ('6 1/2', '-1/8', '3.482', '55.12')
    """
    steps = round(length / INCH * TAPE)
    if places is None and abs(steps * INCH / TAPE - length) < ALIKE:
        whole, rest = divmod(abs(steps), TAPE)
        parts = ([str(whole)] if whole or not rest else []) + ([str(Fraction(rest, TAPE))] if rest else [])
        return "-" * (steps < 0) + " ".join(parts)
    decimals = 3 if places is None else min(places + EXTRA, 4)
    shown = f"{length / INCH + copysign(1e-9, length):z.{decimals}f}"
    return shown.rstrip("0").rstrip(".")
