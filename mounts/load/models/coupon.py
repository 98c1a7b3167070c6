"""Readings of a printed coupon."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from mounts.load.models.base import Frozen, Name, Size
from mounts.load.models.panel import Measured
from mounts.load.parse import units

FELT = ("no", "press", "push", "slide", "free")  # ever looser
SET = ("tight", "good", "loose")


def _readings(value: object) -> tuple[float, ...]:
    """Return the readings of one length as a tuple, or None."""
    if value is None:
        return ()
    return tuple(units.size(one) for one in (value if isinstance(value, list) else [value]))


def _word(words: tuple[str, ...]) -> BeforeValidator:
    def check(value: object) -> object:
        if value is not None and value not in words:
            raise ValueError(f"{units.quote_value(value)} is not known here; give {', '.join(words)}, or nothing")
        return value

    return BeforeValidator(check)


Readings = Annotated[
    tuple[float, ...],
    BeforeValidator(_readings),
    WithJsonSchema({"anyOf": [{"x-value": "length"}, {"type": "array", "items": {"x-value": "length"}}]}),
]
Felt = Annotated[Literal["no", "press", "push", "slide", "free"] | None, _word(FELT)]
Set = Annotated[Literal["tight", "good", "loose"] | None, _word(SET)]


class CouponReadings(Frozen):
    """Readings of one coupon; what was not read is left empty. Several readings of one length: [119.4, 119.5]."""

    kind: Literal["coupon"]
    printer: Name = Field(description="that printed it")
    material: Name = Field(description="in which it was printed")
    insert: Name = Field(default="insert-m4-short", description="that its pockets are for")
    measured: Measured = Field(default={}, validate_default=True, description="who measured, and when")
    caliper: Size = Field(default=0.05, description="one standard deviation of a reading")
    bars: dict[Name, Readings] = Field(default={}, description="over the ends: x, y, rising, falling")
    ribs: dict[Name, Readings] = Field(default={}, description="thickness, by the figure beside it")
    pegs: dict[Name, Readings] = Field(default={}, description="diameter, by the figure beside it")
    holes: dict[Name, Readings] = Field(default={}, description="diameter, by the figure beside it")
    fits: dict[Name, Felt] = Field(default={}, description="how the plug goes in: no, press, push, slide, free")
    inserts: dict[Name, Set] = Field(default={}, description="how the insert went in: tight, good, loose")
