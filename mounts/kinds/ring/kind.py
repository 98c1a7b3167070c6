"""Entries of the ring in the table of kinds: printed, and cut from sheet.

Cautions of a ring, and the readings that were not taken.

A check that rests on a reading that was not taken is not made, and the report says so as prominently as a failure.

Sizes by which two rings are compared.
"""

from __future__ import annotations

from collections.abc import Iterator

from mounts.kinds.cautions import BATTERY, FIRST, fume_cautions, material_cautions, nearby_cautions
from mounts.kinds.kind import Kind
from mounts.kinds.review import Review
from mounts.kinds.ring import speaker_kind
from mounts.kinds.ring.dummy_shape import dummy_of
from mounts.kinds.ring.flat import draw_flat, plan_flat
from mounts.kinds.ring.halves.plan import half_pose, parts_of, plan_part
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.shape import draw_first_check, draw_ring, draw_whole
from mounts.kinds.ring.surroundings import flat_surroundings, surroundings
from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.kinds.sizes import NamedSize, extents, label_size, seat_sizes
from mounts.kinds.speaker_kind import seat_frame, speaker_readings

MEMBRANE = (
    "Membrane: behind the trim it keeps water and noise out of the cabin; all behind it gets wet. Seal it again all "
    "round, close what you opened, keep the drain holes in the door's foot free."
)
DUST = "Cutting and drilling: eye and ear protection, a dust mask, the work clamped; no loose sleeves near the tool."
GLASS = "Glass: wind it down and up with the speaker in place before the trim goes on; broken edges cut."
LOOSE = (
    "A mount that comes loose can jam the window or the lock: tighten to the torque given here, try window and door, "
    "and tighten again after the first hot days."
)


def ring_cautions(job: RingJob) -> tuple[str, ...]:
    """Return the cautions that concern one side of a job, the most important first."""
    return (FIRST, BATTERY, *nearby_cautions(job.panel.nearby), *_work(job), *material_cautions(job), LOOSE)


def _work(job: RingJob) -> Iterator[str]:
    if job.panel.place == "door":
        yield MEMBRANE
    if job.panel.behind is not None and job.panel.behind.glass is not None:
        yield GLASS
    if job.make == "cut":
        yield DUST
    if job.fix_to_panel.hardware.caution:
        yield job.fix_to_panel.hardware.caution
    yield from fume_cautions(job)
    if job.fix_speaker is not None and job.fix_speaker.hardware.caution:
        yield job.fix_speaker.hardware.caution


def ring_unread(job: RingJob) -> tuple[str, ...]:
    """Return the paths of the readings that a check would have used, had they been taken."""
    panel = job.panel
    behind, front = panel.behind, panel.in_front
    given = {
        "panel.in_front.trim": front is not None and front.trim is not None,
        "panel.in_front.trim.opening": front is not None and front.trim is not None and front.trim.opening is not None,
        "panel.in_front.grille": front is not None and front.grille is not None,
        "panel.behind.glass": behind is not None and behind.glass is not None,
        "panel.behind.things": behind is not None and bool(behind.things),
        "panel.fixings.hole": panel.fixings.hole is not None,
        "panel.face.thickness": panel.face.thickness is not None,
        **speaker_readings(job),
    }
    return tuple(path for path, known in given.items() if not known)


def ring_sizes(plan: RingPlan) -> Iterator[NamedSize]:
    """Yield the named sizes of a printed ring."""
    yield NamedSize("height of the seat", (plan.seat.frame.origin[2],))
    yield NamedSize("least height at this tilt", (plan.least_height,))
    yield from seat_sizes(plan.seat, plan.seat.lift)
    yield NamedSize("outside of the seat", extents(plan.seat.outline))
    yield NamedSize("opening of the bore at the face", extents(plan.tower.mouth))
    yield NamedSize("tower's wall", (plan.tower.wall,))
    yield NamedSize("base", extents(plan.base.outline))
    yield NamedSize("base's thickness", (plan.base.thickness,))
    yield NamedSize("holes for the panel's screws", tuple(dict.fromkeys(one.hole for one in plan.fixings)))
    yield label_size(plan.labels)


def flat_sizes(plan: FlatPlan) -> Iterator[NamedSize]:
    """Yield the named sizes of a ring cut from sheet."""
    yield NamedSize("sheet", (plan.sheet,))
    yield from seat_sizes(plan.seat, plan.seat.lift)
    yield NamedSize("outside", extents(plan.outline))


def _ring_review() -> Review[RingJob, RingPlan]:
    from mounts.kinds.ring.review import RING

    return RING


def _flat_review() -> Review[RingJob, FlatPlan]:
    from mounts.kinds.ring.review import FLAT

    return FLAT


RING = Kind(
    job=RingJob,
    name="Mount",
    plan=plan_part,
    shape=draw_ring,
    surroundings=surroundings,
    axis=seat_frame,
    cautions=ring_cautions,
    unread=ring_unread,
    review=_ring_review,
    pose=half_pose,
    sizes=ring_sizes,
    holds=speaker_kind.RING,
    slice=draw_first_check,
    slice_pose=half_pose,
    dummy=dummy_of,
    parts=parts_of,
    whole=draw_whole,
)
FLAT = Kind(
    job=RingJob,
    name="Mount",
    plan=plan_flat,
    shape=draw_flat,
    surroundings=flat_surroundings,
    axis=seat_frame,
    cautions=ring_cautions,
    unread=ring_unread,
    review=_flat_review,
    sizes=flat_sizes,
    holds=speaker_kind.FLAT,
)
