"""Directivity, delays and ear positions against published tables and scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import special, stats
from scipy.optimize import brentq

from mounts.design.listening import (
    SILENT,
    STATURE,
    STATURE_SD,
    TRAGION,
    TRAGION_SD,
    bessel_j1,
    covered_up_to,
    directivity_index,
    ear_over_hip,
    frequency_of,
    level_off_axis,
    speed_of_sound,
    wave_size,
)

C20 = 343.2  # m/s, as the tables below were made with

# Kinsler and Frey, Fundamentals of Acoustics, table of 2 J1(x)/x: x, pressure, level in dB
PISTON = [
    (0.2, 0.9950, -0.04), (0.4, 0.9801, -0.17), (0.6, 0.9557, -0.39), (0.8, 0.9221, -0.70), (1.0, 0.8801, -1.11),
    (1.2, 0.8305, -1.61), (1.4, 0.7742, -2.22), (1.6, 0.7124, -2.95), (1.8, 0.6461, -3.79), (2.0, 0.5767, -4.78),
    (2.2, 0.5054, -5.93), (2.4, 0.4335, -7.26), (2.6, 0.3622, -8.82), (2.8, 0.2926, -10.67), (3.0, 0.2260, -12.92),
    (3.2, 0.1633, -15.74), (3.4, 0.1054, -19.54), (3.6, 0.0530, -25.51), (5.1356, -0.1323, -17.57),
    (8.0, 0.0587, -24.63),
]  # fmt: skip


def frequency_at(x: float, off_axis: float, piston: float) -> float:
    """Hz at which k a sin θ is x."""
    return float(x * C20 * 1000 / (np.pi * piston * np.sin(np.radians(off_axis))))


def test_j1_is_that_of_scipy() -> None:
    """scipy.special.j1 (Cephes): rational fits and asymptotic series, nothing of ours."""
    x = np.concatenate([np.linspace(-60, 60, 24001), np.geomspace(1e-12, 1000, 4000)])
    assert np.abs(bessel_j1(x) - special.j1(x)).max() < 5e-14


@pytest.mark.parametrize(("x", "pressure", "level"), PISTON)
def test_the_textbooks_piston(x: float, pressure: float, level: float) -> None:
    assert 2 * float(bessel_j1(x)) / x == pytest.approx(pressure, abs=6e-5)
    f = frequency_at(x, 40, 105)
    assert float(level_off_axis(f, 40, 105, C20)) == pytest.approx(level, abs=0.006 if level > -20 else 0.02)


@pytest.mark.parametrize("null", [3.8317, 7.0156, 10.1735])
def test_nulls(null: float) -> None:
    """Zeros of J1: standard tables, and scipy.special.jn_zeros. A null is told as no deeper than SILENT."""
    assert float(level_off_axis(frequency_at(null, 30, 130), 30, 130, C20)) == SILENT
    assert special.jn_zeros(1, 3) == pytest.approx([3.8317, 7.0156, 10.1735], abs=1e-4)


@pytest.mark.parametrize(
    ("level", "x"),
    [(1, 0.9505), (2, 1.3309), (3, 1.6137), (6, 2.2118), (10, 2.7314), (12, 2.9233), (20, 3.4197)],
)
def test_angle_or_frequency_of_a_level(level: float, x: float) -> None:
    """Arguments of 2 J1(x)/x at levels, from scipy.special.j1; −3 and −6 dB are the textbooks'."""
    found = covered_up_to(35, level, 130, C20)
    assert found == pytest.approx(frequency_at(x, 35, 130), rel=1e-4)
    exact = brentq(lambda v: 20 * np.log10(2 * special.j1(v) / v) + level, 0.1, 3.8)
    assert found == pytest.approx(frequency_at(exact, 35, 130), rel=1e-9)


@pytest.mark.parametrize(
    ("piston", "frequency", "angle", "level"),
    [(130, 2000, 30, -1.59), (130, 2000, 45, -3.28), (130, 3000, 30, -3.73), (130, 3000, 45, -8.20),
     (25, 10000, 30, -1.46), (25, 10000, 60, -4.69), (25, 15000, 30, -3.42)],
)  # fmt: skip
def test_worked_levels(piston: float, frequency: float, angle: float, level: float) -> None:
    """Worked with scipy.special.j1 at 343.2 m/s."""
    assert float(level_off_axis(frequency, angle, piston, C20)) == pytest.approx(level, abs=0.006)
    x = np.pi * frequency * piston / 1000 / C20 * np.sin(np.radians(angle))
    assert float(level_off_axis(frequency, angle, piston, C20)) == pytest.approx(20 * np.log10(2 * special.j1(x) / x))


@pytest.mark.parametrize(
    ("ka", "index"),
    [(0.5, 3.19), (1, 3.73), (1.5, 4.64), (2, 5.88), (3, 9.16), (4, 12.30), (5, 14.02), (10, 20.03)],
)
def test_directivity_index(ka: float, index: float) -> None:
    """Beranek, Acoustics, chapter 4: formula; values with scipy."""
    assert float(directivity_index(ka)) == pytest.approx(index, abs=0.006)


def test_directivity_index_is_power_on_axis_over_the_mean() -> None:
    """The closed form against the integral of the piston's pressure squared over the half space."""
    for ka in (0.3, 1.0, 2.7, 6.0):
        angle = np.linspace(1e-9, np.pi / 2, 20001)
        level = level_off_axis(frequency_of(ka, 130, C20), np.degrees(angle), 130, C20)
        power = np.trapezoid(10 ** (level / 10) * np.sin(angle), angle)  # of 2, the whole sphere's share
        assert float(directivity_index(ka)) == pytest.approx(10 * np.log10(2 / power), abs=2e-3)


def test_directivity_index_at_its_ends() -> None:
    """A small piston radiates into half a sphere, 3.01 dB; a large one gains 20 log10(ka)."""
    assert float(directivity_index(1e-4)) == pytest.approx(3.0103, abs=1e-4)
    assert float(directivity_index(0.0)) == pytest.approx(3.0103, abs=1e-4)
    assert float(directivity_index(200.0)) == pytest.approx(20 * np.log10(200), abs=0.05)


@pytest.mark.parametrize(
    ("diameter", "one", "half"),
    [(165, 662, 2933), (130, 840, 3723), (105, 1040, 4609), (28, 3902, 17284), (25, 4370, 19358), (19, 5750, 25471)],
)
def test_usual_pistons(diameter: float, one: float, half: float) -> None:
    """Frequencies at ka = 1, and of −6.02 dB at 30°, of usual effective diameters: worked with scipy."""
    assert frequency_of(1.0, diameter, C20) == pytest.approx(one, abs=0.6)
    assert float(wave_size(one, diameter, C20)) == pytest.approx(1.0, abs=1e-3)
    assert covered_up_to(30, 20 * np.log10(2), diameter, C20) == pytest.approx(half, rel=3e-4)


@pytest.mark.parametrize(
    ("temperature", "speed"), [(-20, 318.9), (0, 331.3), (20, 343.2), (40, 354.7), (60, 365.9), (80, 376.7)]
)
def test_speed_of_sound(temperature: float, speed: float) -> None:
    """c = √(κ R T) of dry air, κ 1.4, R 287.058 J/kg K."""
    assert speed_of_sound(temperature) == pytest.approx(speed, abs=0.06)
    assert speed_of_sound(temperature) == pytest.approx((1.4 * 287.058 * (273.15 + temperature)) ** 0.5, abs=0.05)


@pytest.mark.parametrize(
    ("torso", "rise"), [(5, 40.6), (10, 35.5), (15, 27.0), (20, 15.1), (25, 0), (30, -18.2), (35, -39.4), (40, -63.4)]
)
def test_eye_height_by_torso_angle(torso: float, rise: float) -> None:
    """UN Regulation 46 puts the eyes 635 over the hip point at 25°; by torso angle, GRSG-95-07. Ears lie 17.4 lower."""
    assert ear_over_hip(torso)[1] == pytest.approx(635 + rise - 17.4, abs=0.12)


def test_eyes_of_a_fixed_seat() -> None:
    """SAE J941, fixed seat (formula from memory): eyes 93.2 behind the hip point at 25°; the ears 80 behind them."""
    assert ear_over_hip(25)[0] == pytest.approx(93.2 + 80, abs=0.05)


@pytest.mark.parametrize(
    ("women", "men", "told", "sd"),
    [((730.2, 32.1), (787.1, 34.7), TRAGION, TRAGION_SD), ((1629, 64.2), (1756, 68.6), STATURE, STATURE_SD)],
)
def test_spread_of_the_population(
    women: tuple[float, float], men: tuple[float, float], told: tuple[float, ...], sd: float
) -> None:
    """ANSUR II: tragion height sitting and stature, means and deviations; both sexes in equal numbers."""
    both = [stats.norm(*women), stats.norm(*men)]
    for share, height in zip((0.05, 0.5, 0.95), told, strict=True):
        assert np.mean([one.cdf(height) for one in both]) == pytest.approx(share, abs=0.005)
    middle = (women[0] - men[0]) / 2
    assert sd == pytest.approx(((women[1] ** 2 + men[1] ** 2) / 2 + middle**2) ** 0.5, abs=0.1)
