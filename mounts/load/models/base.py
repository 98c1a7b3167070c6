"""Base of all models: frozen, no unknown keys, values with units, and plain values that stand for a mapping."""

import os
from typing import Annotated, ClassVar

os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # we have none; looking for them costs a tenth of a list

from pydantic import BaseModel, BeforeValidator, ConfigDict, GetJsonSchemaHandler, WithJsonSchema, model_validator
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from mounts.load.parse import units


class Frozen(BaseModel):
    """A model that never changes and knows all its keys."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True, protected_namespaces=()
    )


class Short(Frozen):
    """A mapping that may be written as one plain value, which stands for the key `shorthand`."""

    shorthand: ClassVar[str]

    @model_validator(mode="before")
    @classmethod
    def _expanded(cls, raw: object) -> object:
        return raw if isinstance(raw, dict | BaseModel) else {cls.shorthand: raw}

    @classmethod
    def __get_pydantic_json_schema__(cls, core: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """Return the mapping's schema, or that of its shorthand where nothing else is required."""
        whole = handler.resolve_ref_schema(handler(core))
        short = {k: v for k, v in whole["properties"][cls.shorthand].items() if k not in ("title", "default")}
        if "anyOf" in short:
            short["anyOf"] = [option for option in short["anyOf"] if option.get("type") != "object"]
        alone = set(whole.get("required", ())) <= {cls.shorthand}
        return {"anyOf": [short, whole]} if alone else whole


def _valued(kind: str) -> WithJsonSchema:
    """Return the mark of a value that the schema defines once, under that name."""
    return WithJsonSchema({"x-value": kind})


def text(value: object) -> object:
    """Return a text; a whole number becomes its digits, since a year or a model number is text to a person."""
    if isinstance(value, int) and not isinstance(value, bool):
        return str(value)
    if not isinstance(value, str):
        raise ValueError(f"{units.quote_value(value)} is not text; put it in quotes")
    return value


def name(value: object) -> object:
    """Return a name: text on one line, not empty, at most 200 characters."""
    words = text(value)
    if not isinstance(words, str) or not words.strip() or len(words) > 200 or not words.isprintable():
        raise ValueError(f"{units.quote_value(value)} is not a name; give 1 to 200 characters on one line")
    return words


def flag(value: object) -> object:
    """Return a Boolean; raise ValueError for a word that merely resembles one."""
    if not isinstance(value, bool):
        meant = {"yes": "; write true", "on": "; write true", "no": "; write false", "off": "; write false"}
        hint = meant.get(value.lower(), "") if isinstance(value, str) else ""
        raise ValueError(f"{units.quote_value(value)} is neither true nor false{hint}")
    return value


Length = Annotated[float, BeforeValidator(units.length), _valued("length")]
Size = Annotated[float, BeforeValidator(units.size), _valued("length")]
Room = Annotated[float, BeforeValidator(units.room), _valued("length")]
Angle = Annotated[float, BeforeValidator(units.angle), _valued("angle")]
Clock = Annotated[float, BeforeValidator(units.clock), _valued("clock")]
Mass = Annotated[float, BeforeValidator(units.mass), _valued("mass")]
Area = Annotated[float, BeforeValidator(units.area), _valued("area")]
Frequency = Annotated[float, BeforeValidator(units.frequency), _valued("frequency")]
Number = Annotated[float, BeforeValidator(units.number), WithJsonSchema({"type": "number"})]
Text = Annotated[str, BeforeValidator(text), WithJsonSchema({"type": ["string", "integer"]})]
Name = Annotated[str, BeforeValidator(name), WithJsonSchema({"type": ["string", "integer"]})]
Flag = Annotated[bool, BeforeValidator(flag), WithJsonSchema({"type": "boolean"})]
At = tuple[Length, Length]


def _footprint(value: object) -> tuple[float, ...] | float:
    """Return two widths, or one diameter, mm."""
    if isinstance(value, list | tuple) and len(value) == 2:
        return tuple(units.size(side) for side in value)
    return units.size(value)


Footprint = Annotated[
    tuple[float, float] | float,
    BeforeValidator(_footprint),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "array", "items": {"x-value": "length"}, "minItems": 2, "maxItems": 2},
                {"x-value": "length"},
            ]
        }
    ),
]


def within(least: float, most: float, *, open_ended: bool = False) -> BeforeValidator:
    """Return a validator of a plain number from `least` to `most`, the ends excluded when `open_ended`."""

    def check(value: object) -> float:
        found = units.number(value)
        if not least <= found <= most or (open_ended and found in (least, most)):
            bounds = f"above {least:g} and below {most:g}" if open_ended else f"from {least:g} to {most:g}"
            raise ValueError(f"{units.quote_value(value)} is out of range; give a number {bounds}")
        return found

    return BeforeValidator(check)


Percent = Annotated[float, within(0, 100), WithJsonSchema({"type": "number", "minimum": 0, "maximum": 100})]
Share = Annotated[float, within(0, 1), WithJsonSchema({"type": "number", "minimum": 0, "maximum": 1})]
Chance = Annotated[float, within(0, 1, open_ended=True), WithJsonSchema({"type": "number"})]
Amount = Annotated[float, within(0, 1e9), WithJsonSchema({"type": "number", "minimum": 0})]
