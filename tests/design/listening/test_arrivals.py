"""Delays for the tuner, by hand."""

from __future__ import annotations

import pytest

from mounts.design.listening import Listener, Path, arrivals, paths, speed_of_sound


def heard(seat: str, ear: tuple[float, float, float]) -> Listener:
    return Listener("this_seat", seat, ear, ear, ear, False, (3.0, 3.0, 3.0))


def test_a_path_is_the_straight_line() -> None:
    (way,) = paths("front left", (0.0, 0.0, 20.0), [heard("left seat", (300.0, 400.0, 20.0))])
    assert way == Path("front left", "left seat", pytest.approx(500.0))


def test_nearer_mounts_wait_for_the_furthest() -> None:
    """1 m nearer: 1000/343.2 ms, which is 139.9 samples at 48 kHz and 279.7 at 96 kHz; half the way is 6.02 dB."""
    ways = [Path("left", "left seat", 1000.0), Path("right", "left seat", 2000.0)]
    near, far = arrivals(ways, 20.0)
    assert near.delay_ms == pytest.approx(2.914, abs=1e-3)
    assert near.samples == (140, 280)
    assert near.ahead == pytest.approx(1000.0)
    assert near.louder_db == pytest.approx(6.0206, abs=1e-4)
    assert (far.delay_ms, far.ahead, far.samples, far.louder_db) == (0.0, 0.0, (0, 0), 0.0)
    assert near.time_ms + near.delay_ms == pytest.approx(far.time_ms)


def test_each_seat_has_its_own_furthest() -> None:
    lengths = {
        ("a", "left seat"): 900.0,
        ("a", "right seat"): 1400.0,
        ("b", "left seat"): 1350.0,
        ("b", "right seat"): 950.0,
    }
    ways = [Path(mount, seat, length) for (mount, seat), length in lengths.items()]
    found = arrivals(ways, 45.0)
    assert [one.path for one in found] == ways
    for seat in ("left seat", "right seat"):
        together = {round(one.time_ms + one.delay_ms, 9) for one in found if one.path.seat == seat}
        assert len(together) == 1
    assert found[0].delay_ms == pytest.approx(450 / speed_of_sound(45.0))


def test_warm_air_shortens_the_delay() -> None:
    ways = [Path("left", "left seat", 1000.0), Path("right", "left seat", 2000.0)]
    assert arrivals(ways, 60.0)[0].delay_ms == pytest.approx(1000 / 365.9, abs=1e-3)  # tables give 365.9 m/s
