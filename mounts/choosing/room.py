"""The room in a place, told by a speaker that nobody sells: made for the opening, and grown until something is near."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from mounts.choosing.trial import TrialPlace, Workshop, error_text, trial_job
from mounts.errors import InputError
from mounts.kinds.room import NARROWER, Room, stand_in
from mounts.kinds.table import kind_of
from mounts.load.library import Library
from mounts.load.models.jobbase import Aim
from mounts.load.models.pins import PinPanel
from mounts.load.models.resolved import SpeakerJob

GASKETS = (6.0, 4.0)  # mm, widths of base gaskets that are tried
DOMES = (20.0, 28.0, 36.0)  # mm, diameters of tweeters' bodies: common practice


def find_rooms(library: Library, place: TrialPlace, workshop: Workshop, tilts: Sequence[float]) -> tuple[Room, ...]:
    """The room at each tilt; on pins, for a few bodies one after the other."""
    if isinstance(place.panel, PinPanel):
        levels = [(across, _level(library, place, workshop, across, dome=True)) for across in DOMES]
        return tuple(_combine_rooms(levels, tilt, place.toward) for tilt in tilts)
    level = _level(library, place, workshop, place.panel.opening.least - 4.0)
    return tuple(_room(level, tilt, place.toward) for tilt in tilts)


def _level(
    library: Library, place: TrialPlace, workshop: Workshop, cutout: float, *, dome: bool = False
) -> SpeakerJob | InputError:
    try:
        return trial_job(library, place, stand_in(cutout, dome=dome), workshop)
    except InputError as error:
        return error


def _room(level: SpeakerJob | InputError, tilt: float, toward: float) -> Room:
    """The room at a tilt, or why there is no mount."""
    if isinstance(level, InputError):
        return Room(tilt, None, error_text(level))
    holds = kind_of(level).holds
    try:
        return holds.room(level, replace(level, aim=Aim(tilt, toward if tilt else 0.0))) if holds else Room(tilt, None)
    except InputError as error:
        return Room(tilt, None, error_text(error))


def _combine_rooms(levels: Sequence[tuple[float, SpeakerJob | InputError]], tilt: float, toward: float) -> Room:
    """The rooms of several bodies as one, as high as the highest of their seats."""
    found = [(across, _room(level, tilt, toward)) for across, level in levels]
    heights = [room.height for _, room in found if room.height is not None]
    if not heights:
        return Room(tilt, None, next((room.why for _, room in found if room.why), ""))
    return Room(
        tilt, max(heights), depths=tuple((across, room.depths[0][1] if room.depths else None) for across, room in found)
    )


def choose_gasket(library: Library, place: TrialPlace, workshop: Workshop) -> Workshop:
    """The workshop with the widest base gasket that finds room between fixings and opening, or with none."""
    if isinstance(place.panel, PinPanel):
        return workshop
    tried = (replace(workshop, gasket=width) for width in GASKETS)
    return next((one for one in tried if _has_land(library, place, one)), replace(workshop, gasket=0.0))


def _has_land(library: Library, place: TrialPlace, workshop: Workshop) -> bool:
    """Whether a base gasket keeps its land; what else keeps the ring from being drawn is told later."""
    assert not isinstance(place.panel, PinPanel)
    try:
        job = trial_job(library, place, stand_in(place.panel.opening.least - NARROWER), workshop)
        holds = kind_of(job).holds
        return holds is None or holds.seals(job)
    except InputError as error:
        return any(problem.where != "gaskets.base" for problem in error.problems)
