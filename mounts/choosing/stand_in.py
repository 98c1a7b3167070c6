"""A speaker that nobody sells, made for an opening, and the gasket that there is room for under its mount."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from mounts.choosing.trial import Place, Workshop, trial_job
from mounts.errors import InputError
from mounts.kinds.ring.plan import plan_ring
from mounts.load.library import Library
from mounts.load.models.pins import PinPanel
from mounts.load.models.resolved import Job
from mounts.load.models.speaker import Speaker

RIM = 20.0  # mm by which a flange is wider than its cutout
SCREWS = 10.0  # mm by which its screws' circle is
THICK = 4.0  # mm of flange
SHALLOW = 20.0  # mm: a speaker is this deep at least
GASKETS = (6.0, 4.0)  # mm, widths of base gaskets that are tried
NARROWER = 10.0  # mm, from one stand-in to the next where the wider one cannot be mounted


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
        job = trial_job(library, place, stand_in(place.panel.opening.least - NARROWER), workshop)
        assert isinstance(job, Job)
        return all(wall.is_enough for wall in plan_ring(job).walls if wall.code == "seal.land")
    except InputError as error:
        return any(problem.where != "gaskets.base" for problem in error.problems)


def stand_in(cutout: float, *, dome: bool = False) -> Mapping[str, Any]:
    """A speaker as a file would hold it, made for a cutout, mm."""
    shallow = {"depth": SHALLOW / 2 if dome else SHALLOW}
    if dome:
        return {"type": "dome", "cutout": cutout, "flange": {"diameter": cutout + 7, "thickness": 2.0}, **shallow}
    return {
        "cutout": cutout,
        "flange": {"diameter": cutout + RIM, "thickness": THICK},
        "holes": {"bolt_circle": {"diameter": cutout + SCREWS, "count": 4, "first": "1:30"}, "diameter": 4.8},
        **shallow,
    }


def narrowed(speaker: Speaker, cutout: float) -> Speaker:
    """A stand-in made for another cutout, mm."""
    return Speaker.model_validate({"kind": "speaker", "name": speaker.name, **stand_in(cutout)})
