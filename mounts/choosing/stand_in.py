"""A speaker that nobody sells, made for an opening, and the gasket that there is room for under its mount."""

from __future__ import annotations

from dataclasses import replace

from mounts.choosing.trial import Place, Workshop, trial_job
from mounts.errors import InputError
from mounts.kinds.room import NARROWER, stand_in_speaker
from mounts.kinds.table import kind_of
from mounts.load.library import Library
from mounts.load.models.pins import PinPanel

GASKETS = (6.0, 4.0)  # mm, widths of base gaskets that are tried


def with_gasket(library: Library, place: Place, workshop: Workshop) -> Workshop:
    """The workshop with the widest base gasket that finds room between fixings and opening, or with none."""
    if isinstance(place.panel, PinPanel):
        return workshop
    tried = (replace(workshop, gasket=width) for width in GASKETS)
    return next((one for one in tried if _has_land(library, place, one)), replace(workshop, gasket=0.0))


def _has_land(library: Library, place: Place, workshop: Workshop) -> bool:
    """Whether a base gasket keeps its land; what else keeps the ring from being drawn is told later."""
    assert not isinstance(place.panel, PinPanel)
    try:
        job = trial_job(library, place, stand_in_speaker(place.panel.opening.least - NARROWER), workshop)
        holds = kind_of(job).holds
        return holds is None or holds.seals(job)
    except InputError as error:
        return any(problem.where != "gaskets.base" for problem in error.problems)
