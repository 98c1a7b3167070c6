"""Walls of a ring that can be thin, in closed form or to 0.001 mm on the plan's own surfaces."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from functools import partial
from math import hypot, inf, isfinite

import numpy as np

from mounts.design.body import BodyBlock, pockets_to_axes
from mounts.findings.wall import Wall
from mounts.geometry.distance import depths
from mounts.geometry.frames import Array, Frame, Vector
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import Outline, Point
from mounts.identity import BACK, BASE, BORE, EDGE, FACE, FLANGE_ROOM, GASKET_GROOVE, OPENING, OUTSIDE, Ident, Role
from mounts.kinds.ring.base import STEP_LAND
from mounts.kinds.ring.pieces import Base, Fixing, Groove, RingSeat, SpeakerScrew
from mounts.kinds.ring.seat import seat_land
from mounts.kinds.ring.values import RingPlan
from mounts.kinds.ring.walls.rods import (
    ALMOST,
    back_rod,
    in_material,
    least_on_rod,
    level_edge,
    nut_rod,
    open_sheet_distance,
    outside_distances,
    path_rod,
    pocket_rod,
    sheet_distances,
    tower_wall,
    within_material,
)
from mounts.load.models.limits import Limits
from mounts.shape.primitives import Section
from mounts.shape.sheet import Sheet, least_on, over

ROUNDING = 1e-6  # mm
UNBROKEN = "unbroken gasket land"
STEP_LINES = "three lines of a 0.4 nozzle"
LEANS = 0.75  # least cosine between a way and the normals of a wall, as of two surfaces with names on the mesh
NARROWEST = 2.0  # mm: a narrower gasket groove holds no gasket
FAR = 300.0  # mm: deeper than any ring is high
NEAR = 10.0  # mm over their widths, within which a wall between two round holes is worth a finding


def walls_of(plan: RingPlan, limits: Limits, codes: Collection[str] | None = None) -> tuple[Wall, ...]:
    """Return all walls, in the order: speaker's screws, tool paths, base, seal, tower.

    Args:
        plan: of the ring, with or without walls of its own.
        limits: of its job.
        codes: of the walls that are wanted; others may be left out, which saves most of the time. All where not given.
    """
    found = [wall for told, of in WALLS if codes is None or told.intersection(codes) for wall in of(plan, limits)]
    wall = tower_wall(plan.tower, plan.base)
    found.append(Wall("wall.tower", (BORE, OUTSIDE), wall, limits.wall_least, "tower wall"))
    return tuple(found)


def _pockets(plan: RingPlan, limits: Limits) -> Iterator[Wall]:
    tower, own = plan.tower, "the fastener's own least wall"
    pockets = [pocket_rod(plan.seat, screw) for screw in plan.seat.screws]
    inner, outer = sheet_distances(tower.inside, pockets), outside_distances(tower, plan.base, pockets)
    for screw, pocket, to_bore, outside in zip(plan.seat.screws, pockets, inner, outer, strict=True):
        name, at = Ident(Role.SCREW, screw.name), _place(plan, screw.at)
        yield Wall("wall.screw-bore", (name, BORE), to_bore, screw.wall, own, at)
        yield Wall("wall.screw-outside", (name, OUTSIDE), min(outside, _to_rim(plan.seat, screw)), screw.wall, own, at)
        if screw.nut is None:
            floor = floor_distance(plan, plan.seat.frame, (*screw.at, -screw.depth), screw.hole)
            if isfinite(floor):
                yield Wall("wall.floor", (name, BACK), floor, limits.floor, "floor under a pocket", at)
        near = list(_near(plan, at, screw.hole))
        for fixing, path in zip(near, in_material(tower, plan.base, [path_rod(one) for one in near]), strict=True):
            apart = least_on_rod(path, within_material(tower, plan.base, pocket.to))
            if apart < 0:  # by how much they overlap along both
                apart = _to_path(plan.seat, screw, fixing)
            yield Wall("wall.screw-path", (name, Ident(Role.PATH, fixing.name)), apart, screw.wall, own, at)


def _to_rim(seat: RingSeat, screw: SpeakerScrew) -> float:
    """Return the wall from a pocket to the seat's unbroken edge, mm; what is broken off it is no thin wall."""
    return float(depths(seat.outline, [screw.at])[0]) - screw.hole / 2


def _nuts(plan: RingPlan, limits: Limits) -> Iterator[Wall]:
    """Round the nuts of through bolts, which sit in the back."""
    tower, base, usual = plan.tower, plan.base, (limits.wall_least, "tower wall")
    nuts = [(screw, screw.nut) for screw in plan.seat.screws if screw.nut is not None]
    rooms = [nut_rod(plan.seat, nut, screw.at) for screw, nut in nuts]
    for (screw, nut), room, outside in zip(nuts, rooms, outside_distances(tower, base, rooms), strict=True):
        name, at = Ident(Role.NUT, screw.name), _place(plan, screw.at, nut.bears)
        yield Wall("wall.nut-bore", (name, BORE), open_sheet_distance(tower.inside, room), *usual, at)
        yield Wall("wall.nut-outside", (name, OUTSIDE), outside, *usual, at)
        if base.seal is not None:
            seal = least_on_rod(room, partial(_from_groove, base.seal))
            yield Wall("wall.nut-groove", (name, GASKET_GROOVE), seal, limits.lip, "lip beside the groove", at)
        for fixing in _near(plan, at, nut.diameter):
            for other, cut in (back_rod(fixing), (Ident(Role.PATH, fixing.name), path_rod(fixing))):
                yield Wall("wall.nut-path", (name, other), least_on_rod(room, cut.to), *usual, at)


def _reliefs(plan: RingPlan, limits: Limits) -> Iterator[Wall]:
    """Round the rooms that are cut into the bore's wall for terminals, from the back up."""
    tower, base, usual = plan.tower, plan.base, (limits.wall_least, "tower wall")
    for number, relief in enumerate(plan.terminals, start=1):
        name, top = Ident(Role.RELIEF, str(number), f"terminal {number}"), plan.seat.frame.lifted(relief.top)
        at, room = top.origin, BodyBlock(top, relief.outline, FAR)
        outside = least_on(Sheet(tower.outside[:3]), room.to, (over(base.thickness),))
        edge = np.array(base.outline.points(0.01, least=8))
        levels = [room.to(np.column_stack([edge, np.full(len(edge), z)])).min() for z in (0.0, base.thickness)]
        yield Wall("wall.relief-outside", (name, OUTSIDE), min(outside, *map(float, levels)), *usual, at)
        if base.seal is not None:
            wall = _wall_of(room, base.seal.depth)
            groove = float(_from_groove(base.seal, wall).min())
            yield Wall("wall.relief-groove", (name, GASKET_GROOVE), groove, limits.lip, "lip beside the groove", at)
        for fixing in plan.fixings:
            for other, cut in (back_rod(fixing), (Ident(Role.PATH, fixing.name), path_rod(fixing))):
                apart = least_on_rod(cut, room.to, enough=NEAR)
                if apart < NEAR:
                    yield Wall("wall.relief-path", (name, other), apart, *usual, at)


def _wall_of(room: BodyBlock, high: float) -> Array:
    """Return points (n, 3) of a room's wall from the face up to a height."""
    rim = np.array(room.outline.points(0.01, least=8))
    rim = np.concatenate([rim + share * (np.roll(rim, -1, axis=0) - rim) for share in np.linspace(0, 1, 40)[:-1]])
    found = []
    for z in np.linspace(0.0, high, 7):
        places = room.frame.out(np.column_stack([rim, np.zeros(len(rim))]))
        along = (z - places[:, 2]) / room.frame.z[2]
        found.append(places + along[:, None] * np.asarray(room.frame.z))
    return np.concatenate(found)


def _near(plan: RingPlan, at: Vector, across: float) -> Iterator[Fixing]:
    """Yield the fixings near enough for a wall to them to be reported."""
    for fixing in plan.fixings:
        if hypot(at[0] - fixing.at[0], at[1] - fixing.at[1]) < (fixing.path + across) / 2 + NEAR:
            yield fixing


def _to_path(seat: RingSeat, screw: SpeakerScrew, fixing: Fixing) -> float:
    pocket = np.array(screw.at)
    return float(pockets_to_axes(seat.frame, pocket, screw.hole, screw.depth, [fixing.at])[0]) - fixing.path / 2


def _paths(plan: RingPlan, limits: Limits) -> Iterator[Wall]:
    inside, usual = plan.tower.inside, (limits.wall_least, "tower wall")
    paths = in_material(plan.tower, plan.base, [path_rod(fixing) for fixing in plan.fixings])
    backs = [back_rod(fixing) for fixing in plan.fixings]
    found = sheet_distances(inside, [*paths, *(back for _, back in backs)], max(_bore_begins(plan.base), ALMOST))
    for number, (fixing, (name, _)) in enumerate(zip(plan.fixings, backs, strict=True)):
        names, at = (Ident(Role.PATH, fixing.name), BORE), (*fixing.at, fixing.seat)
        yield Wall("wall.path-bore", names, found[number], *usual, at)
        yield Wall("wall.recess-bore", (name, BORE), found[len(paths) + number], *usual, (*fixing.at, 0.0))


def _collar(plan: RingPlan, limits: Limits) -> Iterator[Wall]:
    """Yield the walls of tool paths beside the inside of a collar or of the rim round a flange that is let in."""
    seat = plan.seat
    if seat.let_in is None:
        return
    places = [(seat.frame.lifted(level), seat.let_in) for level in (seat.lift, seat.rim)]
    if plan.collar:
        places.append((plan.collar.rim, plan.collar.inside))
    outlines = match_spans(*(outline for _, outline in places))
    room = tuple(Section(frame, outline) for (frame, _), outline in zip(places, outlines, strict=True))
    paths = in_material(plan.tower, plan.base, [path_rod(fixing) for fixing in plan.fixings])
    for fixing, wall in zip(plan.fixings, sheet_distances(room, paths), strict=True):
        names = (Ident(Role.PATH, fixing.name), FLANGE_ROOM)
        yield Wall("wall.path-collar", names, wall, limits.wall_least, "tower wall", (*fixing.at, fixing.seat))


def _base(plan: RingPlan, limits: Limits) -> Iterator[Wall]:
    yield Wall("wall.base", (BASE, FACE), plan.base.thickness, limits.base_least, "base thickness")
    for fixing in plan.fixings:
        at = (*fixing.at, 0.0)
        edge = plan.base.outline.depth(fixing.at)
        least = limits.edge * fixing.hole
        yield Wall("wall.hole-edge", (Ident(Role.HOLE, fixing.name), EDGE), edge, least, "hole centre to edge", at)
        if fixing.recess or fixing.step:
            yield Wall(
                "wall.roof",
                (Ident(Role.RECESS, fixing.name), Ident(Role.WASHER, fixing.name, "washer")),
                fixing.roof,
                limits.roof,
                "above a recess",
                at,
            )


def _seal(plan: RingPlan, limits: Limits) -> Iterator[Wall]:
    if plan.base.seal is not None:
        yield from _base_seal(plan, plan.base.seal, limits)
    if plan.seat.lift:
        land = seat_land(plan.seat)
        if land < inf:
            names = (BORE, Ident(Role.SCREW, "", "speaker screws"))
            yield Wall("seal.speaker-land", names, land, limits.speaker_land, "unbroken land inside the pockets")


def _base_seal(plan: RingPlan, seal: Groove, limits: Limits) -> Iterator[Wall]:
    assert seal.inside is not None
    lip = float(depths(seal.inside, plan.base.opening.points(0.02, least=8)).min())
    yield Wall("seal.lip", (GASKET_GROOVE, OPENING), lip, limits.lip, "lip between opening and groove")
    web = _groove_to_bore(seal, plan)
    yield Wall("wall.groove-bore", (GASKET_GROOVE, BORE), web, limits.lip, "lip between opening and groove")
    gives = max(0.0, float(depths(seal.outside, seal.inside.points(0.1, least=8)).min()) - NARROWEST)
    for fixing in plan.fixings:
        name, back = back_rod(fixing)
        land = _land(seal.outside, fixing, back.diameter)
        yield Wall("seal.land", (GASKET_GROOVE, name), land, limits.land, UNBROKEN, (*fixing.at, 0.0), gives)
    for step in plan.base.steps:
        land = -float(depths(seal.outside, step.outline.points(0.02, least=8)).max())
        at = (*next(fixing.at for fixing in plan.fixings if fixing.name == step.name), 0.0)
        yield Wall("seal.land", (GASKET_GROOVE, Ident(Role.STEP, step.name)), land, STEP_LAND, STEP_LINES, at, gives)


def _land(groove: Outline, fixing: Fixing, back: float) -> float:
    return -groove.depth(fixing.at) - back / 2


def floor_distance(plan: RingPlan, frame: Frame, at: Vector, diameter: float) -> float:
    """Return the least material under a hole's floor, down to the face or aslant to what is cut into the back.

    Over the bore there is no face below, so the way there runs aslant to the edge of its mouth; inf where it leans so
    much that it is no floor's.

    Args:
        plan: of the ring.
        frame: whose z the hole runs along.
        at: the middle of its floor in that frame, mm.
        diameter: of the hole, mm.
    """
    turns, shares = np.radians(np.arange(0, 360, 2)), np.array([[0.25], [0.5], [0.75], [1.0]])
    u, v = (c + shares * diameter / 2 * wave(turns) for c, wave in zip(at[:2], (np.cos, np.sin), strict=True))
    floor = frame.out(np.column_stack([u.ravel(), v.ravel(), np.full(u.size, at[2])]))
    inside = _depths_in_bore(plan, floor[:, :2])
    found = [_aslant(inside, floor[:, 2])]
    for groove in (plan.base.seal, plan.base.bead):
        if groove:
            aside = np.maximum(groove_distance(groove, floor[:, :2]), inside)
            found.append(_aslant(aside, floor[:, 2] - groove.depth))
    for fixing in plan.fixings:
        if fixing.recess:
            aside = np.hypot(floor[:, 0] - fixing.at[0], floor[:, 1] - fixing.at[1]) - fixing.recess.diameter / 2
            found.append(_aslant(aside, floor[:, 2] - fixing.recess.depth - fixing.step))
    for step in plan.base.steps:
        found.append(_aslant(-depths(step.outline, floor[:, :2]), floor[:, 2] - step.height))
    return float(np.min(found))


def _aslant(aside: Array, above: Array) -> Array:
    """Return distances (n,) of places from a level surface that begins so far aside; inf where the way is no floor's.

    A way that leans more than 41 degrees runs from the pocket's side rather than from its floor, as on the mesh.
    """
    apart = np.hypot(np.maximum(aside, 0), above)
    return np.where(aside < 0, above, np.where(above >= LEANS * apart, apart, inf))


def _bore_begins(base: Base) -> float:
    """Return the height at which the bore begins: over the room of a raised bead that reaches across the opening."""
    return base.bead.depth if base.bead and base.bead.inside is None else 0.0


def _depths_in_bore(plan: RingPlan, points: Array) -> Array:
    """Return how deep points (n, 2) lie inside the bore's lower edge, mm, negative outside; the edge is convex.

    Of the edge only what can be nearest to any of them is asked: a depth changes by no more than the way.
    """
    edge = level_edge(Sheet(plan.tower.inside), _bore_begins(plan.base))[:, :2]
    way = np.roll(edge, -1, axis=0) - edge
    long = np.hypot(*way.T)
    edge, way = edge[long > ROUNDING], way[long > ROUNDING] / long[long > ROUNDING, None]
    inward = np.column_stack([-way[:, 1], way[:, 0]])
    least, middle = (inward * edge).sum(axis=1), points.mean(axis=0)
    reach = np.hypot(*(points - middle).T).max()
    deep = inward @ middle - least
    near = deep <= deep.min() + 2 * reach + ROUNDING
    found: Array = (inward[near] @ points.T - least[near, None]).min(axis=0)
    return found


def _groove_to_bore(groove: Groove, plan: RingPlan) -> float:
    """Return the least material between a groove and the bore's surface above and beside it, mm."""
    level = _bore_begins(plan.base)
    return least_on(Sheet(plan.tower.inside), partial(_from_groove, groove), (over(level),) if level else ())


def _from_groove(groove: Groove, points: Array) -> Array:
    """Return the signed distance of points (n, 3) above the face from a groove; inf below the face."""
    aside, above = groove_distance(groove, points[:, :2]), points[:, 2] - groove.depth
    apart = np.hypot(np.maximum(aside, 0), np.maximum(above, 0))
    found = np.where((aside < 0) & (above < 0), np.maximum(aside, above), apart)
    return np.where(points[:, 2] < -ROUNDING, inf, found)


def groove_distance(groove: Groove, places: Array) -> Array:
    """Return the signed horizontal distance of places (n, 2) from a groove's ring, negative over it."""
    outside = -depths(groove.outside, places)
    return np.maximum(outside, depths(groove.inside, places)) if groove.inside else outside


def _place(plan: RingPlan, at: Point, level: float = 0.0) -> Vector:
    x, y, z = (float(value) for value in plan.seat.frame.out((*at, level)))
    return (x, y, z)


WALLS: tuple[tuple[frozenset[str], Callable[[RingPlan, Limits], Iterator[Wall]]], ...] = (
    (frozenset({"wall.screw-bore", "wall.screw-outside", "wall.floor", "wall.screw-path"}), _pockets),
    (frozenset({"wall.nut-bore", "wall.nut-outside", "wall.nut-groove", "wall.nut-path"}), _nuts),
    (frozenset({"wall.relief-outside", "wall.relief-groove", "wall.relief-path"}), _reliefs),
    (frozenset({"wall.path-bore", "wall.recess-bore"}), _paths),
    (frozenset({"wall.path-collar"}), _collar),
    (frozenset({"wall.base", "wall.hole-edge", "wall.roof"}), _base),
    (frozenset({"seal.lip", "seal.land", "seal.speaker-land", "wall.groove-bore"}), _seal),
)
