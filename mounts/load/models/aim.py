"""Direction of the speaker's axis as a job gives it: outright, or what of it is to be found."""

from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import BeforeValidator, Field, GetJsonSchemaHandler, WithJsonSchema, model_validator
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from mounts.load.models.base import Clock, Frozen
from mounts.load.parse import units

Seat = Literal["this_seat", "other_seat"]
SEATS: tuple[Seat, ...] = ("this_seat", "other_seat")
STEEPEST = 60.0  # degrees


def _tilt(value: object) -> float:
    found = units.angle(value)
    if not 0 <= found <= STEEPEST:
        need = f"give 0 to {STEEPEST:g} degrees, and toward for the direction"
        raise ValueError(f"{units.quote_value(value)} is not a tilt; {need}")
    return found


def _listeners(value: object) -> object:
    """Return a weight for each seat, from one seat or from weights."""
    if isinstance(value, str) and value in SEATS:
        return {value: 1.0}
    need = "give this_seat, other_seat, or a weight for each as {this_seat: 2, other_seat: 1}"
    if not isinstance(value, dict) or not value:
        raise ValueError(f"{units.quote_value(value)} is no listener; {need}")
    for seat, weight in value.items():
        if seat not in SEATS:
            raise ValueError(f"{units.quote_value(seat)} is no listener; {need}")
        if units.number(weight) < 0:
            raise ValueError(f"{seat}: {units.quote_value(weight)} is no weight; {need}")
    found = {seat: units.number(weight) for seat, weight in value.items() if units.number(weight) > 0}
    if not found:
        raise ValueError(f"no weight is above 0; {need}")
    return found


Tilt = Annotated[float, BeforeValidator(_tilt), WithJsonSchema({"x-value": "angle"})]
Listeners = Annotated[
    dict[Seat, float],
    BeforeValidator(_listeners),
    WithJsonSchema(
        {
            "anyOf": [
                {"enum": list(SEATS)},
                {
                    "type": "object",
                    "properties": {seat: {"type": "number", "minimum": 0} for seat in SEATS},
                    "additionalProperties": False,
                },
            ]
        }
    ),
]


class Aim(Frozen):
    """Tilt and direction; what of them is not given is found, so that the speaker faces a listener."""

    whole: ClassVar[str] = "best"

    tilt: Tilt | None = Field(default=None, description="angle between speaker axis and face normal, degrees")
    toward: Clock | None = Field(default=None, description="clock direction that it leans to")
    at: Listeners | None = Field(
        default=None, description="which seat to face: this_seat, other_seat, or {this_seat: 2, other_seat: 1} for both"
    )
    within: Tilt | None = Field(default=None, description="greatest tilt, where the tilt is to be found")

    @model_validator(mode="before")
    @classmethod
    def _best(cls, raw: object) -> object:
        return {"at": "this_seat"} if raw == cls.whole else raw

    @model_validator(mode="after")
    def _leaves_something(self) -> Self:
        if self.tilt is not None and self.within is not None:
            raise ValueError(f"tilt {self.tilt:g} is given, so within has nothing to limit; leave one of them out")
        given = self.tilt == 0 or (self.tilt is not None and self.toward is not None)
        if given and self.at is not None:
            what = "tilt and toward are given, so nothing is left to turn to a listener"
            raise ValueError(f"{what}; leave one out, or at")
        return self

    @property
    def is_sought(self) -> bool:
        """True if tilt or direction is left to be found; a mount whose aim says nothing is level."""
        if self.tilt is not None:
            return self.tilt > 0 and self.toward is None
        return any(value is not None for value in (self.at, self.within, self.toward))

    @classmethod
    def __get_pydantic_json_schema__(cls, core: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """Return the schema of the mapping, or of "best"."""
        mapping: dict[str, Any] = handler.resolve_ref_schema(handler(core))
        return {"anyOf": [{"const": cls.whole}, mapping]}
