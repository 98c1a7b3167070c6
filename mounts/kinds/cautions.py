"""Safety cautions of a job in the order of the work: battery, airbags, glass, irons, fumes, a loose mount.

Waiting times and sensors are those of vehicle makers' workshop texts, burns those of posted burn tables, heat that of
published cabin measurements (Grundstein and others, 2009; Vanos and others, 2018), flammability 49 CFR 571.302; the
usual limit of ISO 3795 is from memory, and the rest common practice, no source. None of it replaces the vehicle
maker's own instructions.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mounts.load.models.job import Job
from mounts.load.models.surroundings import Nearby

FIRST = (
    "The vehicle maker's instructions, local rules and licensed practice come before this list. Airbags and belts are "
    "work for licensed people. This tool approves nothing."
)
BATTERY = "Battery: disconnect it and wait as long as its maker says, at least 2 minutes, before any plug is pulled."
AIRBAG = (
    "{}: keep hands, tools and the mount out of its way; strike nothing near it; never use a sensor that was dropped."
)
PRESSURE = (
    "{}: it reads the air pressure in the closed door, and was set for that door as it left the works. Fit every cover "
    "and shield again, blank every opening, seal the mount; no vent, no bent sheet, no chips or compressed air near it."
)
NEAR = "{}: find out what it needs before the trim comes off."
HAZARDS = {"airbag": AIRBAG, "pressure sensor": PRESSURE, "other": NEAR}
UNREAD = (
    "Nothing was noted under nearby: look in the vehicle's papers for airbags and sensors before the trim comes off."
)
FLAME = (
    "{} burns, as every plastic here does. FMVSS 302 allows 102 mm a minute for what lies within 13 mm of the cabin's "
    "air; ISO 3795 tests alike, with 100 mm a minute as the usual limit. Both test flat samples of the finished "
    "material: nobody has tested this part, and another colour, infill or wall burns differently. A UL 94 class of the "
    "filament says nothing of it. Where rules ask for a test, only a test answers."
)
HOT = (
    "Hot cars: parked in the sun the cabin's air reaches 60 to 75 °C, a dash 70 and dark surfaces over "
    "80 °C; from 60 °C "
    "skin burns within 5 seconds. Let it cool before you work, and leave no part, foam or cell lying there."
)
FUMES = "{} gives off fumes while it is printed: enclose the printer and lead the air out."


def material_cautions(job: Job) -> Iterator[str]:
    """Yield the cautions that hold for every printed mount: it burns, and parked cars get hot."""
    yield FLAME.format(job.material.name.upper())
    yield HOT


def fume_cautions(job: Job) -> Iterator[str]:
    """Yield the caution on the fumes of a material that gives some off while it is printed."""
    if job.make == "print" and job.material.fumes:
        yield FUMES.format(job.material.name.upper())


def nearby_cautions(nearby: Sequence[Nearby]) -> Iterator[str]:
    """Yield one caution for each thing noted near a place, or one that says that nothing was noted."""
    for thing in nearby:
        yield HAZARDS[thing.hazard].format(thing.what[:1].upper() + thing.what[1:])
    if not nearby:
        yield UNREAD
