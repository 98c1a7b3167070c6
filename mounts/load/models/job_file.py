"""Models that the files of several kinds of job share."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Literal, TypeVar

from pydantic import AfterValidator, BeforeValidator, Field, GetJsonSchemaHandler, WithJsonSchema, model_validator
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema
from pydantic_core.core_schema import any_schema

from mounts.load.models.base import Clock, Frozen, Name, Short, Size, Text
from mounts.load.parse import units

if TYPE_CHECKING:
    from mounts.load.models.limits import Limits
    from mounts.load.models.workshop import Material, Printer


def _words_or(read: Callable[[object], float], *words: str) -> BeforeValidator:
    def check(value: object) -> object:
        if value in words:
            return value
        if isinstance(value, str) and value[:1].isalpha():
            need = ", ".join(["a number", *(f'"{word}"' for word in words[:-1])])
            raise ValueError(f'{units.quote_value(value)} is not known here; give {need} or "{words[-1]}"')
        return read(value)

    return BeforeValidator(check)


TALLEST = 250.0  # mm: no trim stands further off a panel


def _height(value: object) -> float:
    return units.length_validator(TALLEST)(units.size(value))


Height = Annotated[
    float | Literal["least", "best"],
    _words_or(_height, "least", "best"),
    WithJsonSchema({"anyOf": [{"enum": ["least", "best"]}, {"x-value": "length"}]}),
]
Turn = Annotated[
    float | Literal["best"],
    _words_or(units.angle, "best"),
    WithJsonSchema({"anyOf": [{"const": "best"}, {"x-value": "angle"}]}),
]


def _washer(value: object) -> object:
    named = isinstance(value, str) and value[:1].isalpha()
    return value if named or value is False else units.size(value)


class FixToPanel(Short):
    """Fastener and screw that hold the mount to the panel."""

    shorthand: ClassVar[str] = "hardware"

    hardware: Name = Field(description="name of a rivet nut, rubber expansion nut, clip nut, thread or through bolt")
    screw: Name | None = Field(default=None, description="name of the screw; ISO 7380 of the thread when not given")
    washer: Annotated[
        str | float | Literal[False] | None,
        BeforeValidator(_washer),
        WithJsonSchema({"type": ["string", "number", "boolean"]}),
    ] = Field(default=None, description="its name or outside diameter; false for none; ISO 7093 when not given")


class FixSpeaker(Short):
    """Fastener and screw that hold the speaker to the mount."""

    shorthand: ClassVar[str] = "hardware"

    hardware: Name = Field(description="name of an insert, pilot or through bolt")
    screw: Name | None = Field(default=None, description="name of the screw; ISO 7380 of the thread when not given")


def _no_screws(value: object) -> object:
    return None if value is False else value


class OrFalse:
    """Lets an editor take `false` as well; only a validator before it makes something of that."""

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """Return the schema of the value itself, or of false."""
        return {"anyOf": [handler(core), {"const": False}]}


WithSpeakerScrews = Annotated[FixSpeaker | None, BeforeValidator(_no_screws), OrFalse()]


class Gasket(Frozen):
    """A strip of closed-cell foam."""

    thickness: Annotated[Size, AfterValidator(units.length_validator(30.0))] = Field(
        description="before it is squeezed"
    )
    width: Annotated[Size, AfterValidator(units.length_validator(60.0))] = Field(description="of the strip")


def _none_when_false(value: object) -> object:
    if value is False:
        return None
    if value is True or value is None:
        raise ValueError(
            f"{units.quote_value(value)} is not a gasket; give {{thickness: 3, width: 6}}, or false for none"
        )
    return value


NoGasket = Annotated[Gasket | None, BeforeValidator(_none_when_false)]


class Gaskets(Frozen):
    """The gaskets; false for none."""

    base: NoGasket = Field(
        default={"thickness": 3, "width": 6}, validate_default=True, description="under the base, in a groove"
    )
    speaker: NoGasket = Field(
        default={"thickness": 2, "width": 8}, validate_default=True, description="under the flange, flat"
    )
    trim: NoGasket = Field(default=None, description="foam between collar and trim")

    @model_validator(mode="before")
    @classmethod
    def _none_at_all(cls, raw: object) -> object:
        return {"base": False, "speaker": False} if raw is False else raw

    @classmethod
    def __get_pydantic_json_schema__(cls, core: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """Return the mapping's schema, or false."""
        return {"anyOf": [{"const": False}, handler.resolve_ref_schema(handler(core))]}


class Wire(Frozen):
    """A passage for the speaker's wire."""

    at: Clock = Field(description="clock direction")
    across: Size = Field(description="diameter of the passage")


def _label(value: object) -> object:
    if isinstance(value, bool):
        return "sunk" if value else None
    if value in ("sunk", "raised"):
        return value
    raise ValueError(f"{units.quote_value(value)} is not known here; give true, false, sunk or raised")


Label = Annotated[
    Literal["sunk", "raised"] | None,
    BeforeValidator(_label),
    WithJsonSchema({"anyOf": [{"type": "boolean"}, {"enum": ["sunk", "raised"]}]}),
]


class _Resolved:
    """Mark of a value that is taken as it is: it was looked up and validated by itself before the job is."""

    @classmethod
    def __get_pydantic_core_schema__(cls, source: object, handler: object) -> CoreSchema:
        return any_schema()


PartT = TypeVar("PartT")
Part = Annotated[PartT, _Resolved]  # a Panel, Speaker, Material, Printer, Port or Device


def part(kind: str, model: str = "") -> Any:
    """Return the field of a part of the job; the schema takes the model that `x-part` names, else the kind's own."""
    about = f"name of a {kind}, a file beside this one, or the {kind} itself"
    return Field(description=about, json_schema_extra={"x-part": model or kind.capitalize()})


class JobFile(Frozen):
    """Job file of any kind."""

    kind: str
    name: Name = Field(description="the file's own name")
    about: Text = Field(default="", description="what it is, in a few words")
    based_on: Name | None = Field(default=None, description="another job, of which this one changes a few values")
    vehicle: Text = Field(default="", description="free text")
    date: Text = Field(default="", description="free text")
    notes: Text = Field(default="", description="free text")
    if TYPE_CHECKING:  # each kind has these, in its own place among its keys
        make: str
        material: Material
        printer: Printer
        label: Label
        limits: Limits
