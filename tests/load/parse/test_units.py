"""Values with units. Conversions: the inch is 25.4 mm and the pound 0.45359237 kg by the 1959 agreement, exactly."""

from collections.abc import Callable
from fractions import Fraction
from math import inf, isfinite, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mounts.load.parse import units


@pytest.mark.parametrize(
    ("given_", "expected"),
    [
        (165, 165.0),
        (16.5, 16.5),
        ("165", 165.0),
        ("165mm", 165.0),
        ("16,5cm", 165.0),
        ("0.2 m", 200.0),
        ("6.5 in", 165.1),
        ("6.5in", 165.1),
        ('6.5"', 165.1),
        ("6.5″", 165.1),
        ("6 1/2 in", 165.1),
        ("6 ½ in", 165.1),
        ("6½ in", 165.1),
        ("½ in", 12.7),
        ("1/2 inch", 12.7),
        ("6 inches", 152.4),
        ("6 in.", 152.4),
        ("5/8 in", 15.875),
        ("1 ft", 304.8),
        (" 12  mm ", 12.0),
        ("-3.5", -3.5),
        ("−3.5 mm", -3.5),
        ("- 1/4 in", -6.35),
        (".5 in", 12.7),
        ("1e1 mm", 10.0),
        ("6.5 IN", 165.1),
    ],
)
def test_lengths(given_: object, expected: float) -> None:
    assert units.length(given_) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(
    ("read", "given_", "expected"),
    [
        (units.angle, "12deg", 12.0),
        (units.angle, "12°", 12.0),
        (units.angle, "-7.5 degrees", -7.5),
        (units.mass, "2.3 lb", 1.043262451),
        (units.mass, "450 g", 0.45),
        (units.mass, "16 oz", 0.45359237),
        (units.mass, 0.95, 0.95),
        (units.area, "133 cm2", 13300.0),
        (units.area, "133 cm²", 13300.0),
        (units.area, "20 sq in", 12903.2),
        (units.area, "8600 mm2", 8600.0),
    ],
)
def test_other_values(read: Callable[[object], float], given_: object, expected: float) -> None:
    assert read(given_) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("given_", "expected"),
    [
        ("12:00", 0.0),
        ("3:00", 90.0),
        ("1:30", 45.0),
        ("10:30", 315.0),
        ("12:30", 15.0),
        ("11:59", 359.5),
        ("06:00", 180.0),
        (45, 45.0),
        ("45 deg", 45.0),
        (-90, 270.0),
        (360, 0.0),
    ],
)
def test_clock(given_: object, expected: float) -> None:
    assert units.clock(given_) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("turn", range(0, 360, 15))
def test_clock_of_whole_minutes_comes_back(turn: int) -> None:
    text = f"{turn // 30 or 12}:{turn % 30 * 2:02d}"
    assert units.clock(text) == turn


LENGTH = 'give a number of mm or a text such as "6.5 in"'


@pytest.mark.parametrize(
    ("given_", "message"),
    [
        (True, f"true is not a length; {LENGTH}"),
        (None, f"nothing is not a length; {LENGTH}"),
        ([1], f"a list is not a length; {LENGTH}"),
        ({"a": 1}, f"a mapping is not a length; {LENGTH}"),
        ("", f'"" is not a length; {LENGTH}'),
        ("wide", f'"wide" is not a length; {LENGTH}'),
        ("9**9**9 mm", f'"9**9**9 mm" is not a length; {LENGTH}'),
        ("6 in 2", '"6 in 2" has the unknown unit "in 2"; did you mean "in"?'),
        ("1 2 3/4 in", f'"1 2 3/4 in" is not a length; {LENGTH}'),
        ("x" * 500, f'"{"x" * 37}..." is not a length; {LENGTH}'),
        (nan, "nan is not a finite number of sensible size"),
        (inf, "inf is not a finite number of sensible size"),
        (10**400, "1000000000000000000000000000000000000... is not a finite number of sensible size"),
        ("1/0 in", '"1/0 in" divides by zero'),
        ("6.5 inn", '"6.5 inn" has the unknown unit "inn"; did you mean "in"?'),
        ("6.5 kg", '"6.5 kg" has the unknown unit "kg"; units here: mm, cm, m, in, inch, inches, ", ft'),
        ("165 mm²", '"165 mm²" has the unknown unit "mm2"; did you mean "mm"?'),
        ("1,234", '"1,234" may mean thousands or decimals; write it with a point, or without a comma'),
        ("1e9 m", '"1e9 m" is beyond reason; the most here is 10000 mm'),
        (-10001, "-10001 is beyond reason; the most here is 10000 mm"),
    ],
)
def test_lengths_refused(given_: object, message: str, said: Callable[..., str]) -> None:
    assert said(units.length, given_) == message


@pytest.mark.parametrize(
    ("read", "given_", "message"),
    [
        (units.size, 0, "0 is not above 0"),
        (units.size, "-2 in", '"-2 in" is not above 0'),
        (units.room, -0.5, "-0.5 is negative; give 0 or more"),
        (units.angle, "400 deg", '"400 deg" is beyond reason; the most here is 360 degrees'),
        (units.angle, "8 mm", '"8 mm" has the unknown unit "mm"; units here: deg, degree, degrees, °'),
        (units.mass, "0 kg", '"0 kg" is not above 0'),
        (units.mass, 5000, "5000 is beyond reason; the most here is 100 kg"),
        (units.area, 133, '133 has no unit; give a text with its unit, such as "133 cm2"'),
        (units.clock, "13:00", '"13:00" is not on the clock; write "1:00" to "12:59", such as "10:30"'),
        (units.clock, "0:30", '"0:30" is not on the clock; write "1:00" to "12:59", such as "10:30"'),
        (units.clock, "1:60", '"1:60" is not on the clock; write "1:00" to "12:59", such as "10:30"'),
        (units.clock, "1:3", '"1:3" is not on the clock; write "1:00" to "12:59", such as "10:30"'),
        (units.clock, "1:30:00", '"1:30:00" is not on the clock; write "1:00" to "12:59", such as "10:30"'),
        (units.number, "5", '"5" is not a number'),
        (units.number, False, "false is not a number"),
    ],
)
def test_others_refused(
    read: Callable[[object], float], given_: object, message: str, said: Callable[..., str]
) -> None:
    assert said(read, given_) == message


@given(st.integers(0, 300), st.integers(0, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_mixed_fractions_of_an_inch_are_exact(whole: int, top: int, bottom: int) -> None:
    expected = (whole + Fraction(top, bottom)) * Fraction(254, 10)
    assert units.length(f"{whole} {top}/{bottom} in") == pytest.approx(float(expected), rel=1e-14, abs=1e-12)


@given(
    st.text() | st.integers() | st.floats() | st.booleans() | st.none() | st.from_regex(r"[-+ 0-9./,½:in°cm2]{0,12}")
)
def test_anything_is_a_bounded_number_or_one_sentence(value: object) -> None:
    for read in (units.length, units.size, units.room, units.angle, units.mass, units.area, units.clock):
        try:
            found = read(value)
        except ValueError as error:
            assert str(error).isprintable()
            assert len(str(error)) < 200
        else:
            assert isfinite(found)
            assert abs(found) <= units.WIDEST


def test_clock_words():
    assert [units.format_clock(turn) for turn in (0, 45, 90, 315, 359.9, 360)] == [
        "12:00",
        "1:30",
        "3:00",
        "10:30",
        "12:00",
        "12:00",
    ]
