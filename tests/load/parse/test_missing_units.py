"""A forgotten unit among figures that carry one is told where it is; what only looks like it is not."""

from __future__ import annotations

from pathlib import Path

import pytest

from mounts.load.parse.document import parse


def told(text: str) -> list[str]:
    return [str(problem) for problem in parse(text, Path("a.yaml")).problems]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('at_clock: {"12:00": 1.8", "3:00": 1.7}', 'a.yaml:1:35 at_clock.3:00: 1.7 has no unit and 1.8" beside it has'),
        ("trim: {at_clock: {1: 45 mm, 2: 1.7 in, 3: 44}}", "a.yaml:1:43 trim.at_clock.3: 44 has no unit"),
        ("readings: {A-B: 5.3 in, B-C: 5.175}", "a.yaml:1:30 readings.B-C: 5.175 has no unit and 5.3 in beside it"),
        ("ears: {this_seat: {rearward: 14 in, up: 25}}", "a.yaml:1:41 ears.this_seat.up: 25 has no unit"),
        ("at: {A: [2.9 in, 1.3 in], B: [-2.6, 1.9 in]}", "a.yaml:1:31 at.B.0: -2.6 has no unit"),
        ("opening: {oblong: [5.6 in, 119]}", "a.yaml:1:28 opening.oblong.1: 119 has no unit"),
        ("body: [{depth: 0, across: 4 in}, {depth: 9, across: 3}]", "a.yaml:1:53 body.1.across: 3 has no unit"),
        ("size: [4 cm, '2,5']", "a.yaml:1:14 size.1: 2,5 has no unit and 4 cm beside it has; write 2,5 cm, or 2,5 mm"),
    ],
)
def test_what_was_forgotten(text, says):
    (one,) = told(text)
    assert one.startswith(says)


@pytest.mark.parametrize(
    "text",
    [
        "flange: {diameter: 5.4 in, thickness: 4}",  # two sizes, each written as it was read
        "body: [{depth: 0, across: 4 in}, {depth: 12, across: 3 in}]",
        "body: [{depth: 0, across: 4 in}, {depth: 0.5 in, across: 3 in}]",  # nothing is nothing in any unit
        "plays: [80, 3 kHz]",
        "level: [D, A, -6]",
        "at: {A: [58, 53.5], B: [58 mm, -54]}",  # a plain number is mm
        "jobs: [one, {job: two, quantity: 3}]",
    ],
)
def test_what_was_not(text):
    assert told(text) == []
