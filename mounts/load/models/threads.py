"""Threads: how a file writes them, their pitches, and what a screw finds of one in a panel or in plastic."""

import re
from dataclasses import dataclass
from typing import Annotated

from pydantic import BeforeValidator, WithJsonSchema

from mounts.load.parse import units

METRIC = r"^M[1-9][0-9]?(\.[0-9])?$"
OF_SCREW = r"^(M|ST)?[1-9][0-9]?(\.[0-9]{1,2})?$"


def _thread(value: object) -> object:
    if not isinstance(value, str) or not re.fullmatch(METRIC, value):
        raise ValueError(f'{units.quote_value(value)} is not a metric thread; write it as "M5"')
    return value


Thread = Annotated[str, BeforeValidator(_thread), WithJsonSchema({"type": "string", "pattern": METRIC})]


def _screw_thread(value: object) -> object:
    if not isinstance(value, str) or not re.fullmatch(OF_SCREW, value):
        raise ValueError(f'{units.quote_value(value)} is no screw\'s thread; write it as "M5", "ST4.2" or "4.0"')
    return value


ScrewThread = Annotated[str, BeforeValidator(_screw_thread), WithJsonSchema({"type": "string", "pattern": OF_SCREW})]
# coarse pitches, ISO 262
PITCHES = {
    "M2": 0.4,
    "M2.5": 0.45,
    "M3": 0.5,
    "M3.5": 0.6,
    "M4": 0.7,
    "M5": 0.8,
    "M6": 1.0,
    "M8": 1.25,
    "M10": 1.5,
    "M12": 1.75,
}


@dataclass(frozen=True, slots=True)
class Found:
    """The thread that a screw finds behind a face, mm.

    Attributes:
        begins: how far behind the face.
        engages: how much of it must hold.
        long: how long it is; infinite where a screw's end may go on.
        source: what it is taken as.
    """

    begins: float
    engages: float
    long: float
    source: str


@dataclass(frozen=True, slots=True)
class Pocket:
    """Pocket that one speaker screw needs: a hole `hole` wide and `depth` deep with `wall` round it.

    For a through bolt `depth` is 0 and `nut` holds (room across, nut height).
    """

    hole: float
    depth: float
    wall: float
    nut: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Grip:
    """A cylinder of plastic that shears off: what comes out, its diameter and length, and the share that bears."""

    what: str
    across: float
    long: float
    share: float
    source: str
