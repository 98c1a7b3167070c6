"""Materials and printers that a part is made of and on."""

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from mounts.load.models.base import Amount, Angle, Flag, Frozen, Length, Name, Number, Percent, Room, Share, Size, Text
from mounts.load.parse import units
from mounts.load.parse.units import quote_value


def _count(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 100:
        raise ValueError(f"{quote_value(value)} is not a count; give a whole number from 1 to 100")
    return value


Count = Annotated[int, BeforeValidator(_count), WithJsonSchema({"type": "integer", "minimum": 1, "maximum": 100})]


def _growth(value: object) -> object:
    """Return one growth for every hole, or ((diameter, growth), …) in rising order of diameter, mm."""
    if not isinstance(value, dict):
        return units.length(value)
    if not value:
        raise ValueError("no size is given; give one figure, or figures by diameter such as {3: 0.28, 10: 0.2}")
    return tuple(sorted((units.size(size), units.length(grown)) for size, grown in value.items()))


Growth = Annotated[
    float | tuple[tuple[float, float], ...],
    BeforeValidator(_growth),
    WithJsonSchema(
        {"anyOf": [{"type": "object", "additionalProperties": {"x-value": "length"}}, {"x-value": "length"}]}
    ),
]
Spread = tuple[float, float, float]  # least and most, all between alike, and one standard deviation about these
EXACT: Spread = (0.0, 0.0, 0.0)
USUAL_GROWTH = (0.1, 0.2)  # mm by which a hole prints small, print guides
USUAL_HOLE = 6.0  # mm, for which hole growth is given where no size is: screws and inserts of M4 and M5


class Felt(Frozen):
    """Clearance on the diameter, finished, at which parts of this printer went together as a fit word says."""

    press: Length | None = Field(default=None, description="pressed in: negative is interference")
    push: Length | None = Field(default=None, description="goes on by hand and stays")
    slide: Length | None = Field(default=None, description="goes on by itself")
    free: Length | None = Field(default=None, description="loose")


class Shrink(Frozen):
    """Usual linear shrink of a material, for printers on which it was not measured."""

    least: Percent = Field(description="per cent")
    most: Percent = Field(description="per cent")
    source: Text = Field(default="", description="where the figures come from")

    @model_validator(mode="after")
    def _check_order(self) -> "Shrink":
        if self.most < self.least:
            raise ValueError(f"the most, {self.most:g}, is under the least, {self.least:g}")
        return self


USUAL_SHRINK = Shrink(least=0.1, most=0.8, source="common practice for filaments")  # of a material that gives none


class Material(Frozen):
    """A printing material or a sheet."""

    kind: Literal["material"]
    name: Name = Field(description="the file's own name")
    about: Text = Field(default="", description="what it is, in a few words")
    source: Text = Field(default="", description="where the figures come from")
    density: Amount = Field(description="kg/m3")
    strength_mpa: Amount = Field(description="tensile strength along the layers, MPa")
    modulus_mpa: Amount = Field(description="Young's modulus, MPa")
    poisson: Share = Field(default=0.38, description="Poisson's ratio")
    expansion: Amount = Field(description="linear thermal expansion, 1/K, such as 9.0e-5")
    service: Number = Field(description="upper sustained service temperature, degrees C")
    softens: Number = Field(description="upper heat deflection temperature at 0.45 MPa, degrees C")
    across_layers: Share = Field(default=0.5, description="strength across layers as a fraction of that along them")
    shrink_pct: Shrink | None = Field(default=None, description="usual linear shrink as printed, per cent")
    fumes: Text = Field(default="", description="what it gives off while it is printed, such as styrene, with a source")
    comes_as: Literal["filament", "sheet", "either"] = Field(
        default="either", description="filament to print, sheet to cut, or either"
    )
    along_mpa: Amount | None = Field(
        default=None, description="of a sheet with a grain: strength along it, MPa; strength_mpa, across it, counts"
    )
    screw_hold: Amount | None = Field(
        default=None, description="of a sheet: N per mm of thread that draw a 4 mm screw out of its face, ultimate"
    )
    service_class: Count | None = Field(
        default=None, description="of a sheet: wettest place that it bears; 1 dry indoors, 2 damp, 3 wet (EN 1995-1-1)"
    )
    price: Amount | None = Field(default=None, description="of a kilogram, in your own money")
    confidence: Text = Field(default="", description="how well the figures are known")

    def unfit(self, make: str) -> str:
        """Return why it does not suit a make, "print" or "cut"; empty when it does."""
        if make == "print" and self.comes_as == "sheet":
            return f"{self.name} comes in sheets and cannot be printed"
        if make == "cut" and self.comes_as == "filament":
            return f"{self.name} comes as filament; there is no sheet of it to cut"
        return ""


class Speeds(Frozen):
    """Printing speeds, as the slicer is set."""

    outer: Size = Field(default=40, description="outer wall, mm/s")
    inner: Size = Field(default=60, description="inner walls, mm/s")
    solid: Size = Field(default=60, description="solid layers, mm/s")
    infill: Size = Field(default=80, description="infill, mm/s")
    first: Size = Field(default=20, description="first layer, mm/s")
    acceleration: Size = Field(default=1500, description="mm/s2")


class Printer(Frozen):
    """A printer as it is set up in the workshop."""

    kind: Literal["printer"]
    name: Name = Field(description="the file's own name")
    about: Text = Field(default="", description="what it is, in a few words")
    bed: tuple[Size, Size, Size] = Field(description="[x, y, z] that it can print")
    nozzle: Size = Field(default=0.4, description="nozzle diameter")
    layer: Size = Field(default=0.2, description="layer height")
    walls: Count = Field(default=5, description="number of walls")
    top_bottom: Count = Field(default=5, description="number of solid layers at top and bottom")
    infill_pct: Percent = Field(default=40, description="infill in per cent")
    error: Room = Field(
        default=0.1,
        description="one standard deviation of a printed position, mm; the larger of x and y, since parts are turned",
    )
    hole_growth: dict[Name, Growth] = Field(
        default={},
        description="mm to add to a hole's diameter so that it comes out true, by material; "
        "one figure, or figures by diameter: {3: 0.28, 10: 0.2}",
    )
    outside_growth: dict[Name, Length] = Field(
        default={}, description="mm by which an outside prints wider than drawn, by material"
    )
    insert_growth: dict[Name, Length] = Field(
        default={}, description="the same as hole_growth for pockets of heat-set inserts, where they were tried"
    )
    fits: dict[Name, Felt] = Field(
        default={}, description="clearance at which parts go together by fit word, by material: {press: -0.05, …}"
    )
    hole_growth_sd: dict[Name, Room] = Field(
        default={}, description="one standard deviation of hole_growth, mm, by material, as the coupon gives it"
    )
    shrink_pct: dict[Name, Number] = Field(default={}, description="linear shrink in per cent, by material")
    shrink_sd_pct: dict[Name, Percent] = Field(
        default={}, description="one standard deviation of shrink_pct, by material, as the coupon gives it"
    )
    speeds: Speeds = Field(default={}, validate_default=True, description="for the estimate of hours")
    hourly: Amount | None = Field(default=None, description="cost of an hour of it, in your own money")
    overhang: Angle = Field(default=45.0, description="steepest clean overhang, degrees from vertical")
    slicer_corrects: Flag = Field(default=False, description="true when the slicer already corrects shrink and holes")

    def growth(self, material: str, size: float = USUAL_HOLE) -> float:
        """Return what to add to the diameter of a hole of a size in a material, mm.

        Between two sizes that were measured it is interpolated; 0 when not measured or when the slicer does it.
        """
        found = 0.0 if self.slicer_corrects else self.hole_growth.get(material, 0.0)
        if isinstance(found, float):
            return found
        for (low, less), (high, more) in pairwise(found):
            if size <= high:
                return less + (more - less) * max(0.0, size - low) / (high - low)
        return found[-1][1]

    def pocket_growth(self, material: str) -> float:
        """Return what to add to an insert's pocket diameter, mm; as for any hole where inserts were not tried."""
        tried = None if self.slicer_corrects else self.insert_growth.get(material)
        return self.growth(material) if tried is None else tried

    def spread(self, material: str) -> float:
        """Return how much wider an outside prints than drawn, mm; 0 if not measured or corrected by the slicer."""
        return 0.0 if self.slicer_corrects else self.outside_growth.get(material, 0.0)

    def felt(self, material: str, word: str) -> float | None:
        """Return the clearance at which parts of a material fitted as a word says, mm; None if not tried."""
        found = self.fits.get(material)
        clearance: float | None = getattr(found, word) if found else None
        return clearance

    def shrink(self, material: Material) -> Spread:
        """Return the linear shrink that a part is left with, per cent: the material's usual range if not measured."""
        if self.slicer_corrects:
            return EXACT
        if (known := self.shrink_pct.get(material.name)) is not None:
            return (known, known, self.shrink_sd_pct.get(material.name, 0.0))
        usual = material.shrink_pct or USUAL_SHRINK
        return (usual.least, usual.most, 0.0)

    def growth_error(self, material: Material) -> Spread:
        """Return how much narrower a hole comes out than planned, mm: the usual range if not measured."""
        if self.slicer_corrects or material.name in self.hole_growth:
            return EXACT if self.slicer_corrects else (0.0, 0.0, self.hole_growth_sd.get(material.name, 0.0))
        return (*USUAL_GROWTH, 0.0)
