"""Drawing of the dummy: every feature one or more primitives in its place. No dimension is decided here.

Datum: the panel's face is z = 0, the cabin lies towards +z; the halves meet there.
"""

from __future__ import annotations

from collections.abc import Iterator

from mounts.findings.report import AS_BUILT, Pose
from mounts.geometry.frames import PANEL
from mounts.geometry.outline import Outline, circle, rectangle
from mounts.identity import BEAD_ROOM, BODY, FLANGE, TOWER, Ident, Role, called
from mounts.kinds.ring.dummy import ARM, BOLT, POST, Dummy, Post, bar, plan_dummy
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.shape import PAST
from mounts.kinds.ring.values import RingPlan
from mounts.shape.primitives import Prism, Revolved, Ruled, Section
from mounts.shape.recipe import Feature, Recipe, Scene

FLARE = 1.6  # times as long as wide: 32 degrees, which leaves 13 for the tilt
SPAN, DEEP = 800.0, 300.0  # mm: wider and deeper than any mount
UPSIDE_DOWN: Pose = ((1.0, 0.0, 0.0, 0.0), (0.0, -1.0, 0.0, 0.0), (0.0, 0.0, -1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
COUNTED = 0  # through holes: what closed walls and arms enclose is counted by one kernel and held against the other


def dummy_of(job: RingJob, plan: RingPlan) -> dict[str, tuple[Scene, Pose]]:
    """Plan and draw the halves of a ring's dummy by name; raise as `plan_dummy` does."""
    return draw_dummy(plan_dummy(job, plan))


def draw_dummy(dummy: Dummy) -> dict[str, tuple[Scene, Pose]]:
    """Draw the halves "front" and "rear", each with its print pose; no rear where nothing is behind the face.

    The recipes do not state their genus.
    """
    front = (*_front(dummy), *_cuts(dummy), _half("behind the face", -DEEP, 0.0), *_bolts(dummy))
    halves = {"front": (Scene(Recipe(f"{dummy.name}-dummy-front", front, COUNTED)), AS_BUILT)}
    if dummy.body:
        rear = (*_rear(dummy), _half("before the face", 0.0, DEEP), *_bolts(dummy))
        halves["rear"] = (Scene(Recipe(f"{dummy.name}-dummy-rear", rear, COUNTED)), UPSIDE_DOWN)
    return halves


def _front(dummy: Dummy) -> Iterator[Feature]:
    yield Feature(called(Role.PIECE, "rim"), (Ruled(dummy.rim, ring=True),))
    for number, (start, end) in enumerate(dummy.arms, start=1):
        yield Feature(called(Role.PIECE, f"arm {number}"), (Prism(bar(start, end, ARM), 0.0, dummy.arm),))
    for fixing, across in dummy.feet_of:
        yield Feature(Ident(Role.FOOT, fixing.name), (Prism(circle(across, fixing.at), 0.0, fixing.seat),))
    yield Feature(TOWER, (Ruled(dummy.shell, ring=True),))
    if dummy.flange:
        edge, inside, low, high = dummy.flange
        yield Feature(FLANGE, (Prism(edge, low, high, dummy.seat, (inside,)),))
    if dummy.cone:
        top, across = dummy.cone
        yield Feature(
            called(Role.PIECE, "cone"),
            (Prism(circle(across), -DEEP / 2, top, dummy.seat, (circle(across - 2 * dummy.wall),)),),
        )
    for number, post in enumerate(dummy.posts, start=1):
        yield Feature(Ident(Role.HEAD, str(number)), (_post(post),))


def _post(post: Post) -> Revolved:
    """Return a rod that widens to the head's diameter at a slope that prints, though it leans."""
    wide = max(post.head, POST)
    brim = post.top - 0.6
    profile = ((-DEEP / 2, POST), (brim - FLARE * (wide - POST) / 2, POST), (brim, wide), (post.top, wide))
    return Revolved(post.frame, profile)


def _cuts(dummy: Dummy) -> Iterator[Feature]:
    plan = dummy.plan
    for fixing in plan.fixings:
        through = Prism(circle(fixing.hole, fixing.at), -PAST, fixing.seat + PAST)
        yield Feature(Ident(Role.HOLE, fixing.name), (through,), cut=True)
        yield Feature(Ident(Role.PATH, fixing.name), (Prism(fixing.relief, fixing.seat, DEEP),), cut=True)
        if fixing.recess:
            room = Prism(circle(fixing.recess.diameter, fixing.at), -PAST, fixing.step + fixing.recess.depth)
            yield Feature(Ident(Role.RECESS, fixing.name), (room,), cut=True)
    if plan.base.bead:
        bead = plan.base.bead
        room = Prism(bead.outside, -PAST, bead.depth, islands=(bead.inside,) if bead.inside else ())
        yield Feature(BEAD_ROOM, (room,), cut=True)
    for step in plan.base.steps:
        yield Feature(Ident(Role.STEP, step.name), (Prism(step.outline, -PAST, step.height),), cut=True)


def _rear(dummy: Dummy) -> Iterator[Feature]:
    sections = tuple(Section(dummy.seat.lifted(level), circle(across)) for level, across in dummy.body)
    yield Feature(BODY, (Ruled(sections, ring=True),))
    for number, end in enumerate(dummy.feet, start=1):
        yield Feature(called(Role.PIECE, f"arm {number}"), (Prism(bar(dummy.middle, end, ARM), -dummy.arm, 0.0),))
    for number, block in enumerate(dummy.blocks, start=1):
        yield Feature(
            Ident(Role.RELIEF, str(number), f"terminal {number}"),
            (Prism(block.outline, -block.deep, 0.0, block.frame),),
        )


def _half(name: str, low: float, high: float) -> Feature:
    return Feature(called(Role.CUT, name), (Prism(_wide(), low, high),), cut=True)


def _wide() -> Outline:
    return rectangle(SPAN, SPAN, 1.0)


def _bolts(dummy: Dummy) -> Iterator[Feature]:
    for number, at in enumerate(dummy.bolts, start=1):
        body = Prism(circle(BOLT, at), -DEEP, DEEP, PANEL)
        yield Feature(called(Role.HOLE, f"bolt {number}"), (body,), cut=True)
