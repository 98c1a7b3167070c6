"""Values as a person writes them: `165`, `6.5 in`, `6 1/2 in`, `6"`, `16,5cm`, `12°`, `2.3 lb`, `133 cm2`, `1:30`.

A bare number is mm, degrees or kg. Every function takes what YAML gave and returns a float in those units, or raises
`ValueError` with one sentence that says what was given and what is needed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from difflib import get_close_matches

from mounts.lengths import Units

LENGTHS: Mapping[str, float] = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": 25.4,
    "inch": 25.4,
    "inches": 25.4,
    '"': 25.4,
    "ft": 304.8,
}
ANGLES: Mapping[str, float] = {"deg": 1.0, "degree": 1.0, "degrees": 1.0, "°": 1.0}
MASSES: Mapping[str, float] = {"kg": 1.0, "g": 0.001, "lb": 0.45359237, "lbs": 0.45359237, "oz": 0.028349523125}
FREQUENCIES: Mapping[str, float] = {"hz": 1.0, "khz": 1000.0}
AREAS: Mapping[str, float] = {"mm2": 1.0, "cm2": 100.0, "m2": 1e6, "in2": 645.16}


class LengthsError(ValueError):
    """Mistake in a file whose lengths, mm, a message writes as that file is typed; each `{}` stands for one."""

    def __init__(self, text: str, *lengths: float) -> None:
        super().__init__(text)
        self.lengths = lengths

    def write(self, units: Units) -> str:
        """Return the sentence with its lengths in some units."""
        return str(self.args[0]).format(*map(units.read, self.lengths))


LONGEST = 10_000.0  # mm: nothing in a vehicle measured for a loudspeaker is longer
HEAVIEST = 100.0  # kg
WIDEST = 1e6  # mm²
HIGHEST = 100_000.0  # Hz
NAMES_LISTED = 12  # names in a message

_FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_SAME = {"″": '"', "”": '"', "''": '"', "′′": '"', "²": "2", "^2": "2", "−": "-", "⁄": "/", "\u00a0": " "}
_VALUE = re.compile(
    r"(?P<sign>[-+]?)\s*"
    r"(?:(?:(?P<whole>\d{1,6})\s+)?(?P<top>\d{1,6})\s*/\s*(?P<bottom>\d{1,6})|(?P<plain>(?:\d{1,12}(?:[.,]\d{0,12})?|[.,]\d{1,12})(?:[eE][-+]?\d{1,2})?))"
    r"\s*(?P<unit>[^\W\d_][\w ]*2?|[\"°])?\.?"
)
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})")


def length(value: object) -> float:
    """Return a length in mm, of either sign; a bare number is mm."""
    return _bounded(value, _read(value, "length", LENGTHS, '"6.5 in"', "mm"), LONGEST, "mm")


def angle(value: object) -> float:
    """Return an angle in degrees within a full turn either way; a bare number is degrees."""
    return _bounded(value, _read(value, "angle", ANGLES, '"12 deg"', "degrees"), 360.0, "degrees")


def mass(value: object) -> float:
    """Return a mass in kg, above 0; a bare number is kg."""
    return _above_zero(value, _bounded(value, _read(value, "mass", MASSES, '"2.3 lb"', "kg"), HEAVIEST, "kg"))


def area(value: object) -> float:
    """Return an area in mm², above 0; its unit is required, since data sheets give cm² and drawings mm²."""
    found = _read(value, "area", AREAS, '"133 cm2"', "")
    return _above_zero(value, _bounded(value, found, WIDEST, "mm2"))


def frequency(value: object) -> float:
    """Return a frequency in Hz, above 0; a bare number is Hz."""
    found = _read(value, "frequency", FREQUENCIES, '"4 kHz"', "Hz")
    return _above_zero(value, _bounded(value, found, HIGHEST, "Hz"))


def size(value: object) -> float:
    """Return a length in mm above 0."""
    return _above_zero(value, length(value))


def length_validator(most: float) -> Callable[[float], float]:
    """Return a validator that raises ValueError for a length of more than `most` mm either way."""

    def check(found: float) -> float:
        return _bounded(found, found, most, "mm")

    return check


def room(value: object) -> float:
    """Return a length in mm, 0 or more."""
    found = length(value)
    if found < 0:
        raise ValueError(f"{quote_value(value)} is negative; give 0 or more")
    return found


def clock(value: object) -> float:
    """Return a direction in degrees clockwise from 12:00, from "1:30" (45.0) or a number; 0 ≤ result < 360."""
    text = value.strip() if isinstance(value, str) else ""
    if ":" in text:
        match = _CLOCK.fullmatch(text)
        hours, minutes = (int(match[1]), int(match[2])) if match else (0, 0)
        if not 1 <= hours <= 12 or minutes > 59:
            raise ValueError(f'{quote_value(value)} is not on the clock; write "1:00" to "12:59", such as "10:30"')
        return hours % 12 * 30.0 + minutes * 0.5
    found = _read(value, "clock direction", ANGLES, '"10:30"', "degrees clockwise from 12:00")
    return _bounded(value, found, 360.0, "degrees") % 360.0


def format_clock(turn: float) -> str:
    """Return a direction as a time on the clock, to the nearest minute (half a degree): 45 is "1:30"."""
    minutes = round(turn % 360 * 2) % 720
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"


def number(value: object) -> float:
    """Return a plain finite number without a unit."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"{quote_value(value)} is not a number")
    if not abs(value) <= 1e12:
        raise ValueError(f"{quote_value(value)} is not a finite number of sensible size")
    return float(value)


def unit_of(text: str) -> str | None:
    """Return the unit that a value carries, in lower case, "" for none; None where it is no value."""
    match = _VALUE.fullmatch(_plain(text))
    return (match["unit"] or "").strip().lower() if match else None


def quote_value(value: object) -> str:
    """Return a given value as a message quotes it: short, on one line, in YAML's words."""
    if isinstance(value, bool) or value is None:
        return {True: "true", False: "false", None: "nothing"}[value]
    if isinstance(value, int | float):
        return f"{value:.10g}" if isinstance(value, float) else _short(str(value))
    if isinstance(value, str):
        return f'"{_short(value)}"'
    return "a mapping" if isinstance(value, dict) else "a list"


def list_names(names: Sequence[str], of: str) -> str:
    """Return names as a message lists them: at most NAMES_LISTED, and where to see the rest."""
    more = f" and {len(names) - NAMES_LISTED} more: see mounts list {of}" if len(names) > NAMES_LISTED else ""
    return (", ".join(names[:NAMES_LISTED]) or "none") + more


def _short(text: str) -> str:
    clean = replace_unprintable(text[:60])
    return clean if len(text) <= 40 else clean[:37] + "..."


def replace_unprintable(text: str) -> str:
    """Return the text with a dot for every character that is not printable."""
    return "".join(sign if sign.isprintable() else "·" for sign in text)


def _read(value: object, what: str, units: Mapping[str, float], example: str, bare: str) -> float:
    """Return number times unit, in the unit that `units` counts as 1; `bare` names a bare number's unit, if allowed."""
    article = "an" if what[0] in "aeio" else "a"
    wanted = f"a number of {bare} or a text such as {example}" if bare else f"a text with its unit, such as {example}"
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError(f"{quote_value(value)} is not {article} {what}; give {wanted}")
    if isinstance(value, str):
        match = _VALUE.fullmatch(_plain(value))
        if not match:
            raise ValueError(f"{quote_value(value)} is not {article} {what}; give {wanted}")
        figure, unit = _figure(match, value), (match["unit"] or "").strip()
        if unit:
            return figure * _factor(unit, value, units)
        if match["bottom"] and units is LENGTHS:
            raise ValueError(f"{quote_value(value)} has no unit; write {value.strip()} in, or a decimal figure for mm")
    else:
        figure = number(value)
    if not bare:
        raise ValueError(f"{quote_value(value)} has no unit; give {wanted}")
    return figure


def _plain(text: str) -> str:
    """Return the text with typographic signs in their plain forms."""
    if len(text) > 60:
        return ""
    for sign, plain in _FRACTIONS.items():
        text = text.replace(sign, f" {plain}")
    for sign, plain in _SAME.items():
        text = text.replace(sign, plain)
    return text.strip()


def _figure(match: re.Match[str], value: object) -> float:
    if match["bottom"]:
        if not int(match["bottom"]):
            raise ValueError(f"{quote_value(value)} divides by zero")
        figure = int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
    else:
        if re.fullmatch(r"\d{1,3},\d{3}", match["plain"]):
            raise ValueError(
                f"{quote_value(value)} may mean thousands or decimals; write it with a point, or without a comma"
            )
        figure = float(match["plain"].replace(",", "."))
    return -figure if match["sign"] == "-" else figure


def _factor(unit: str, value: object, units: Mapping[str, float]) -> float:
    name = unit.lower().removeprefix("sq ") + ("2" if unit.lower().startswith("sq ") else "")
    if name in units:
        return units[name]
    near = get_close_matches(name, units, 1, 0.5)
    hint = f'did you mean "{near[0]}"?' if near else f"units here: {', '.join(units)}"
    raise ValueError(f'{quote_value(value)} has the unknown unit "{unit}"; {hint}')


def _bounded(value: object, found: float, most: float, unit: str) -> float:
    if not abs(found) <= most:
        raise ValueError(f"{quote_value(value)} is beyond reason; the most here is {most:g} {unit}")
    return found


def _above_zero(value: object, found: float) -> float:
    if found <= 0:
        raise ValueError(f"{quote_value(value)} is not above 0")
    return found
