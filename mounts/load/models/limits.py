"""Every default that decides a dimension or a verdict, as data; a job may override any of them.

Values are common practice unless a description names a source; they are the table of defaults that every finding
refers to.
"""

from typing import Annotated

from pydantic import AfterValidator, BeforeValidator, Field, WithJsonSchema

from mounts.load.models.base import Frozen, Number, Percent, Size
from mounts.load.models.base import Room as AnyRoom
from mounts.load.parse import units


def _amount(value: object) -> float:
    found = units.number(value)
    if found < 0:
        raise ValueError(f"{units.quote_value(value)} is negative; give 0 or more")
    return found


Room = Annotated[AnyRoom, AfterValidator(units.length_validator(100.0))]
Times = Annotated[float, BeforeValidator(_amount), WithJsonSchema({"type": "number", "minimum": 0})]


class Temperatures(Frozen):
    """Design temperature of each place in the vehicle, °C: parked in the sun, air at the part."""

    door: Number = Field(default=75.0, description="behind a door trim, degrees C")
    dash: Number = Field(default=95.0, description="on a dash, degrees C")
    pillar: Number = Field(default=95.0, description="on a pillar, degrees C")
    shelf: Number = Field(default=95.0, description="on a rear shelf, degrees C")
    boot: Number = Field(default=80.0, description="in a boot, degrees C")
    floor: Number = Field(default=65.0, description="at the floor, degrees C")


class Limits(Frozen):
    """Limits and allowances; mm unless the description says otherwise. None may be negative."""

    caliper: Room = Field(default=0.25, description="one standard deviation of a caliper reading")
    rubbing: Room = Field(default=0.5, description="one standard deviation of a reading off a rubbing")
    clay: Room = Field(default=0.7, description="one standard deviation of a clay reading")
    depth_rod: Room = Field(default=1.0, description="one standard deviation of a depth rod reading")
    tape: Room = Field(default=3.0, description="one standard deviation of a tape reading")

    level: Room = Field(default=0.5, description="one standard deviation of a direction read with a level, degrees")

    glass: Room = Field(default=10.0, description="to the window glass at any height")
    glass_least: Room = Field(default=6.0, description="to the window glass; less fails")
    moving: Room = Field(default=8.0, description="to other moving things behind")
    fixed: Room = Field(default=3.0, description="to fixed things behind")
    cone_to_grille: Room = Field(default=4.0, description="cone at full travel to the grille")
    front: Room = Field(default=3.0, description="fixed parts to trim or grille")
    sheet_unread: Annotated[Size, AfterValidator(units.length_validator(100.0))] = Field(
        default=3.0, description="sheet round the opening, taken where the panel's face.thickness was not measured"
    )

    body_near_seat: Room = Field(default=0.5, description="body to bore a side, within `near_seat` of the seat")
    near_seat: Room = Field(default=5.0, description="depth that counts as near the seat")
    body: Room = Field(default=2.0, description="body to bore a side deeper than that, and at the opening")
    terminals: Room = Field(default=4.0, description="terminals to bore and opening")
    passing: Room = Field(default=0.5, description="body to bore, and trim to all it passes, on their way in, a side")
    bore: Room = Field(default=1.0, description="bore at the seat wider than the cutout by this")
    flare: Times = Field(default=45.0, description="rear flare below the pockets, degrees from the axis")
    flare_below: Room = Field(default=15.0, description="a bore deeper than this is flared")
    rear_area_pct: Percent = Field(
        default=70.0, description="opening less the magnet's section, least share of the piston's area, per cent"
    )

    hole: Room | None = Field(
        default=None, description="hole in the mount wider than its screw by this, whatever `sure` would ask for"
    )
    cut_error: Room = Field(
        default=0.2, description="one standard deviation of the place of a hole cut or drilled in sheet"
    )
    panel_hole: Room = Field(default=0.2, description="panel hole larger than the hardware needs: most")
    recess_across: Room = Field(default=2.0, description="rivet-nut recess wider than the flange by this")
    recess_deep: Room = Field(default=0.4, description="rivet-nut recess deeper than the flange's height by this")
    tool_path: Room = Field(default=1.0, description="screwdriver path wider than head or washer by this")

    wall: Room = Field(default=4.0, description="tower wall")
    wall_least: Room = Field(default=3.0, description="tower wall; less fails")
    base: Room = Field(default=6.0, description="base thickness")
    base_least: Room = Field(default=5.0, description="base thickness; less fails")
    floor: Room = Field(default=2.0, description="floor under a pocket")
    web: Room = Field(default=3.0, description="between any two cuts in a board, and to its edge")
    roof: Room = Field(default=3.0, description="material above a recess")
    edge: Times = Field(default=2.0, description="hole centre to edge, in hole diameters")

    lip: Room = Field(default=1.2, description="lip between opening and gasket groove")
    land: Room = Field(default=4.0, description="unbroken gasket land to every hole and recess")
    speaker_land: Room = Field(default=2.0, description="unbroken speaker gasket land inside the pockets")
    squeeze_pct: Percent = Field(default=40.0, description="gasket squeeze, per cent of its thickness")
    foam_least_pct: Percent = Field(default=25.0, description="foam to the trim: least squeeze, per cent")
    foam_most_pct: Percent = Field(default=40.0, description="foam to the trim: most squeeze, per cent")

    cup_wall: Room = Field(default=2.4, description="wall of a tweeter's cup: six lines of a 0.4 nozzle")
    cup_wall_least: Room = Field(default=1.6, description="wall of a tweeter's cup; less fails")
    cup_web: Room = Field(
        default=1.2, description="between a well and the tweeter's room: three lines, print guides' least"
    )
    fillet: Room = Field(
        default=2.0, description="radius behind a cup's plate, where hub and flare meet; less where it has no room"
    )
    plate_least: Room = Field(default=1.6, description="plate under a staked head; less is refused")
    plate_most: Room = Field(default=6.0, description="plate under a staked head; a pin that is longer is cut")
    pin_gap: Room = Field(
        default=0.15, description="locator and slot to their pins, a side; staking guides give 0.13 to 0.38"
    )
    head_over: Room = Field(default=0.4, description="head beyond its hole, a side")
    tip_gap: Room = Field(default=0.3, description="iron's tip to the wall of its well, a side")
    press_strain_pct: Percent = Field(
        default=0.5, description="strain that a press may leave in the plastic for years, per cent"
    )

    torque: Times = Field(default=1.0, description="M5 torque on plastic under a 15 mm washer, N·m")
    slam: Times = Field(default=500.0, description="shock of a slammed door, m/s² (ISO 16750-3, doors and flaps)")
    shock: Times = Field(
        default=500.0, description="shock at the body's rigid points, m/s² (ISO 16750-3, half-sine of 6 ms)"
    )
    seen_pct: Percent = Field(
        default=85.0, description="share of the cone seen through the trim's opening; less warns, per cent"
    )

    aside: Room = Field(default=4.0, description="most that a seat is moved sideways for a better aim")

    temperatures: Temperatures = Field(default={}, validate_default=True, description="design temperatures by place")

    def uncertainty(self, instrument: str | float) -> float:
        """Return one standard deviation of a reading, mm, from the instrument's name or a number given instead."""
        if isinstance(instrument, float | int):
            return float(instrument)
        found: float = getattr(self, instrument.replace(" ", "_"))
        return found

    def temperature(self, place: str) -> float:
        """Return the design temperature of a place in the vehicle, °C."""
        found: float = getattr(self.temperatures, place)
        return found
