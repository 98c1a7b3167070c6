"""What a listener gets of a speaker on its seat."""

from __future__ import annotations

import pytest

from mounts.design.listening import (
    Listener,
    clock_of,
    evaluate_listener,
    judged_frequencies,
    level_loss,
    level_off_axis,
    listed_frequencies,
    widest_of,
)
from mounts.geometry.frames import tilt_frame
from mounts.load.models.speaker import Speaker

SPEED = 343.2


def speaker(**changes: object) -> Speaker:
    given = {"kind": "speaker", "name": "any", "cutout": 116, "depth": 50, "piston": 105}
    return Speaker.model_validate({**given, "flange": {"diameter": 135, "thickness": 4}, **changes})


def listener(ear, short=None, tall=None) -> Listener:
    return Listener("this_seat", "left seat", ear, short or ear, tall or ear, short is not None, (3.0, 3.0, 3.0))


def test_a_tilt_towards_the_ear_brings_the_axis_nearer_by_itself() -> None:
    ear = (-300.0, 300.0, 400.0 + 20.0)
    seat = tilt_frame((0.0, 0.0, 20.0), 9.0, 315.0)
    assert clock_of(seat, listener(ear)) == pytest.approx(315.0)
    (found,) = evaluate_listener(seat, [listener(ear)])
    assert found.flat - found.angle == pytest.approx(9.0)
    assert found.path == pytest.approx((300**2 * 2 + 400**2) ** 0.5)
    assert found.angle == found.short == found.tall == found.widest


def test_the_widest_is_of_whoever_sits_furthest_off() -> None:
    (found,) = evaluate_listener(
        tilt_frame((0, 0, 0), 0.0, 0.0), [listener((0, 300, 400), (0, 250, 400), (0, 380, 400))]
    )
    assert found.widest == found.tall > found.angle > found.short


def test_the_coverage_ends_where_half_the_pressure_is_lost() -> None:
    big = speaker(plays=[80, 3000])
    edge = widest_of(big, SPEED)
    assert edge is not None
    assert float(level_off_axis(judged_frequencies(big, SPEED), edge, 105, SPEED)) == pytest.approx(-6.0, abs=1e-9)
    assert level_loss(big, edge, SPEED)[-1] == pytest.approx(6.0, abs=1e-9)
    assert widest_of(speaker(plays=[80, 2000]), SPEED) == 90.0  # ka 1.92: at right angles 4.4 dB are lost


def test_it_is_judged_no_higher_than_the_model_holds() -> None:
    """ka 3 of 105 mm: 3 · 343.2 / (π · 0.105) = 3121 Hz, told to two figures."""
    assert judged_frequencies(speaker(plays=[80, 8000]), SPEED) == 3100
    assert judged_frequencies(speaker(plays=[80, 2500]), SPEED) == 2500
    assert listed_frequencies(speaker(plays=[80, 2400]), SPEED) == (600, 1200, 2400)


def test_without_a_piston_nothing_is_said_of_levels() -> None:
    bare = speaker(piston=None)
    assert (widest_of(bare, SPEED), level_loss(bare, 30.0, SPEED)) == (None, ())


def test_what_it_usually_plays_is_told_by_its_type() -> None:
    assert speaker().band == (80, 3000)
    assert speaker(type="dome", plays=["4 kHz", "18 kHz"]).band == (4000, 18000)
