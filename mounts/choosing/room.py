"""Room in a place, found with a stand-in speaker made for the opening and grown until a clearance is reached."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from mounts.choosing.trial import TrialPlace, Workshop, error_text, trial_job
from mounts.errors import InputError
from mounts.kinds.kind import TRIED, kind_of
from mounts.kinds.speaker_kind import NARROWER, AvailableRoom, stand_in_speaker
from mounts.load.models.job import AimAngles
from mounts.load.models.pins import PinPanel
from mounts.load.models.speaker_job import SpeakerJob
from mounts.load.resolve.library import Library

DOMES = (20.0, 28.0, 36.0)  # mm, diameters of tweeters' bodies: common practice


def find_rooms(
    library: Library, place: TrialPlace, workshop: Workshop, tilts: Sequence[float]
) -> tuple[AvailableRoom, ...]:
    """Return the room at each tilt; on pins, for a few bodies one after the other."""
    if isinstance(place.panel, PinPanel):
        levels = [(across, _level(library, place, workshop, across, dome=True)) for across in DOMES]
        return tuple(_combine_rooms(levels, tilt, place.toward) for tilt in tilts)
    level = _level(library, place, workshop, place.panel.opening.least - 4.0)
    return tuple(_room(level, tilt, place.toward) for tilt in tilts)


def _level(
    library: Library, place: TrialPlace, workshop: Workshop, cutout: float, *, dome: bool = False
) -> SpeakerJob | InputError:
    """Return the job of the stand-in, level, or the error that prevents it."""
    try:
        return trial_job(library, place, stand_in_speaker(cutout, dome=dome), workshop)
    except InputError as error:
        return error


def _room(level: SpeakerJob | InputError, tilt: float, toward: float) -> AvailableRoom:
    """Return the room at a tilt, or why there is no mount."""
    if isinstance(level, InputError):
        return AvailableRoom(tilt, None, error_text(level))
    holds = kind_of(level).holds
    try:
        return (
            holds.room(level, replace(level, aim=AimAngles(tilt, toward if tilt else 0.0)))
            if holds
            else AvailableRoom(tilt, None)
        )
    except InputError as error:
        return AvailableRoom(tilt, None, error_text(error))


def _combine_rooms(
    levels: Sequence[tuple[float, SpeakerJob | InputError]], tilt: float, toward: float
) -> AvailableRoom:
    """Return the rooms of several bodies as one, as high as the highest of their seats."""
    found = [(across, _room(level, tilt, toward)) for across, level in levels]
    heights = [room.height for _, room in found if room.height is not None]
    if not heights:
        return AvailableRoom(tilt, None, next((room.why for _, room in found if room.why), ""))
    return AvailableRoom(
        tilt, max(heights), depths=tuple((across, room.depths[0][1] if room.depths else None) for across, room in found)
    )


def suit_gasket(library: Library, place: TrialPlace, workshop: Workshop) -> Workshop:
    """Return the workshop with the base gasket with which a stand-in's mount keeps its walls, or with none."""
    if isinstance(place.panel, PinPanel):
        return workshop
    try:
        job = trial_job(library, place, stand_in_speaker(place.panel.opening.least - NARROWER), workshop)
    except InputError:
        return workshop  # which is reported of each speaker
    change = kind_of(job).review().change(job, TRIED)
    base = (change.job if change else job).base_gasket
    return replace(workshop, gasket=base.width if base else 0.0)
