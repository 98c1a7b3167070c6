"""Level off the axis of a rigid round piston in an endless flat baffle: the usual estimate of a speaker's directivity.

Off its axis by θ the pressure falls to 2 J1(x) / x of that on it, x = k a sin θ, with k = 2π f / c and a half the
effective diameter (Kinsler and Frey, Fundamentals of Acoustics; Beranek, Acoustics). A real cone bends at high
frequencies, and a door is no endless baffle: the model holds between about ka = 1 and ka = HOLDS, and is an estimate.
"""

from __future__ import annotations

from math import ceil, log10, pi, radians, sin

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

HOLDS = 3.0  # ka up to which cones move more or less as one piece: common practice, no source
WIDENS = 1.0  # ka below which a speaker radiates so widely that its aim does not matter
SILENT = -60.0  # dB: a null is drawn and told no deeper; in a cabin reflections fill it long before
HANDED_ON = 6.0  # dB lost that bound a speaker's coverage: half the pressure; common practice, no source


def bessel_j1(x: ArrayLike) -> Array:
    """Return the Bessel function of the first kind and first order, good to 1e-14 for |x| ≤ 1000.

    The mean of cos(τ − x sin τ) over a full turn, which equally spaced points give but for J of an order as high as
    their number (Abramowitz and Stegun 9.1.21).
    """
    values = np.asarray(x, dtype=float)
    most = float(np.abs(values).max(initial=0.0))
    count = ceil(most + 15 * most ** (1 / 3)) + 40
    turns = 2 * pi * np.arange(count) / count
    mean: Array = np.cos(turns - values[..., None] * np.sin(turns)).mean(axis=-1)
    return mean


def wave_size(frequency_hz: ArrayLike, piston: float, speed: float) -> Array:
    """Return ka: the piston's circumference over the wavelength.

    Args:
        frequency_hz: any shape.
        piston: effective diameter, mm.
        speed: of sound, m/s.
    """
    size: Array = pi * np.asarray(frequency_hz, dtype=float) * piston / 1000 / speed
    return size


def frequency_of(ka: float, piston: float, speed: float) -> float:
    """Return the frequency in Hz at which a piston of an effective diameter in mm has a ka; `speed` in m/s."""
    return ka * speed * 1000 / (pi * piston)


def held_between(piston: float, speed: float) -> tuple[float, float]:
    """Return the range in Hz in which the model holds for a piston: from where aim matters to the cone's break-up."""
    return frequency_of(WIDENS, piston, speed), frequency_of(HOLDS, piston, speed)


def level_off_axis(frequency_hz: ArrayLike, off_axis: ArrayLike, piston: float, speed: float) -> Array:
    """Return the dB of the level in a direction over that on the axis; 0 or less, no lower than SILENT.

    Args:
        frequency_hz: shape that broadcasts with `off_axis`.
        off_axis: degrees from the axis, 0 to 180; behind the baffle's plane the model knows no more than at its edge.
        piston: effective diameter, mm.
        speed: of sound, m/s.
    """
    angle = np.radians(np.minimum(np.asarray(off_axis, dtype=float), 90.0))
    x = wave_size(frequency_hz, piston, speed) * np.sin(angle)
    safe = np.where(x < 1e-6, 1.0, x)
    shape = np.where(x < 1e-6, 1.0, np.abs(2 * bessel_j1(safe) / safe))
    level: Array = 20 * np.log10(np.maximum(shape, 10 ** (SILENT / 20)))
    return level


def directivity_index(ka: ArrayLike) -> Array:
    """Return the directivity index, dB: the level on the axis over that of the same power sent out evenly all round.

    10 log10((ka)² / (1 − J1(2ka) / ka)), with the series' first terms below ka = 0.01.
    """
    size = np.asarray(ka, dtype=float)
    safe = np.maximum(size, 0.01)
    resistance = np.where(size < 0.01, size**2 / 2, 1 - bessel_j1(2 * safe) / safe)
    index: Array = 10 * np.log10(np.where(size > 0, size**2, 1.0) / np.where(size > 0, resistance, 0.5))
    return index


def covered_up_to(off_axis: float, lost: float, piston: float, speed: float) -> float:
    """Return the frequency in Hz up to which at most `lost` dB are lost `off_axis` degrees from the axis."""
    low, high = 0.0, 3.8  # x: the first null is at 3.8317
    for _ in range(60):
        middle = (low + high) / 2
        enough = -20 * log10(max(float(abs(2 * bessel_j1(middle) / middle)), 1e-9)) <= lost
        low, high = (middle, high) if enough else (low, middle)
    across = sin(radians(min(off_axis, 90.0)))
    return frequency_of(low / across, piston, speed) if across > 1e-9 else float("inf")
