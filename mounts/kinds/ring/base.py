"""Base of the ring: its outline round fixings, opening land and tower foot; its fixings; the cuts in its back.

Placement of a mount on its panel's fixings: what is off, what has play, and how wide its holes have to be.
"""

from __future__ import annotations

from math import ceil, floor, hypot, inf

from mounts.design.chance import Errors, add_printer, chance, needed_gap
from mounts.design.fasteners import Fastening, fastening, thread_diameter, widest_borne
from mounts.geometry.hull import hull
from mounts.geometry.outline import Outline, Point, circle, offset_outline
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import Base, FaceStep, Fixing, Groove, Recess

STEP = 0.1  # mm, in which holes are drawn, as drills are sold
EDGE = 0.6  # mm, broken edge above
CHAMFER = 0.4  # mm, first-layer chamfer (reference: elephant foot 0.1 to 0.2, chamfer 0.3 to 0.5)
SPOT = 0.4  # mm, how deep the washer's face is cut into the base: two layers, so that it is seen where it goes
FOOT = 1.0  # mm, height in the base at which the tower begins
LEDGE = 1.5  # mm, the base shows this much round the tower's foot
GROOVE_ROOM = 0.5  # mm, groove wider than its foam, which spreads when squeezed
OUTER_LAND = 3.0  # mm, base outside the groove
STEP_ROOM = 3.0  # mm, raised underside wider than what bears there, where the gasket's groove leaves it that
STEP_LAND = 1.2  # mm between the groove and a raised underside: three lines of a 0.4 nozzle


def choose_hole(job: RingJob) -> float:
    """Return the diameter of the holes in the mount as they come out.

    As wide as the wanted chance asks for, but no narrower than the fine hole of ISO 273 and no wider than washer or
    head covers; or as `limits.hole` has it.
    """
    if job.limits.hole is not None:
        return thread_diameter(job.fix_to_panel.screw.thread) + job.limits.hole
    return max(min(wanted_hole(job), largest_hole(job)), job.fix_to_panel.fine)


def wanted_hole(job: RingJob) -> float:
    """Return the least diameter, a full tenth, with which the mount goes on as surely as is asked for.

    It is that of a printer whose shrink and hole growth are corrected: a hole wide enough for what is unknown of them
    would do nothing for the rest of the part.
    """
    errors = fixing_errors(job).calibrated
    gap = needed_gap(tuple(job.panel.fixings.points.values()), _floats(job), errors, job.sure)
    wanted = thread_diameter(job.fix_to_panel.screw.thread) + 2 * gap
    return max(round(ceil(wanted / STEP - 1e-6) * STEP, 1), job.fix_to_panel.fine)


def largest_hole(job: RingJob) -> float:
    """Return the greatest diameter, a full tenth, that washer or head covers wherever the screw stands in it."""
    return round(floor(widest_borne(job.fix_to_panel) / STEP + 1e-6) * STEP, 1)


def fit_chance(job: RingJob, hole: float, errors: Errors | None = None) -> float:
    """Return the chance, 0 to 1, that all screws go in at once through holes of a diameter."""
    return chance(tuple(job.panel.fixings.points.values()), gaps(job, hole), errors or fixing_errors(job))


def gaps(job: RingJob, hole: float) -> tuple[float, ...]:
    """Return the gap of each screw, a side: in the mount's hole, and in the panel where it floats there, mm."""
    play = (hole - thread_diameter(job.fix_to_panel.screw.thread)) / 2
    return tuple(play + more for more in _floats(job))


def fixing_errors(job: RingJob) -> Errors:
    """Return the errors between screws and holes: readings, printer or saw, and nuts set loosely in their holes."""
    item, fixings = job.fix_to_panel.hardware, job.panel.fixings
    plays = tuple(item.play(fixings.size(name) or 0.0) for name in fixings.points)
    errors = Errors(job.fixings_covariance(), job.limits.cut_error, plays)
    return add_printer(errors, job.printer, job.material) if job.make == "print" else errors


def _floats(job: RingJob) -> tuple[float, ...]:
    """Return how much screws play in the panel's own holes, a side, mm."""
    item, fixings = job.fix_to_panel.hardware, job.panel.fixings
    return tuple(item.floats(fixings.size(name) or 0.0) for name in fixings.points)


def fastening_of(job: RingJob) -> Fastening:
    """Return hole, washer and tool path of the job's panel fixings."""
    growth = job.hole_growth
    return fastening(job.fix_to_panel, job.limits, choose_hole(job), growth)


def recess_for(job: RingJob, screw: Fastening) -> Recess | None:
    """Return the room on the back for the hardware's flange; None where nothing stands proud of the face.

    The room is wider than the flange by three standard deviations of a hole's place on each side.
    """
    if screw.proud is None:
        return None
    across, height = screw.proud
    room = max(job.limits.recess_across, 6 * job.uncertainty("holes"))
    return Recess(across + room, height + job.limits.recess_deep)


def base_for(job: RingJob, screw: Fastening) -> Base:
    """Return the base before its outline is known: thickness, groove, bead and steps."""
    limits, panel = job.limits, job.panel
    opening = panel.opening.outline()
    recess = recess_for(job, screw)
    highest = max(panel.fixings.heights.values(), default=0.0)
    bead = _bead(job, opening)
    seal = _seal(job, bead.outside if bead else opening)
    return Base(
        outline=opening,
        thickness=max(
            limits.base,
            limits.base_least + highest,
            limits.roof + SPOT + max(0.0, (screw.sink - screw.hole) / 2) + highest + (recess.depth if recess else 0.0),
            limits.roof + (bead.depth if bead else 0.0),
        ),
        edge=EDGE,
        chamfer=CHAMFER,
        opening=opening,
        seal=seal,
        bead=bead,
        steps=_steps(job, screw, recess, seal),
    )


def outline_round(job: RingJob, screw: Fastening, base: Base, foot: Outline) -> Outline:
    """Return the convex hull of the discs about the fixings, the opening's land and the tower's foot."""
    discs = [circle(screw.disc, at) for at in job.panel.fixings.points.values()]
    sealed = base.seal.outside if base.seal else base.bead.outside if base.bead else base.opening
    return hull([offset_outline(foot, LEDGE), offset_outline(sealed, OUTER_LAND), *discs])


def fixings_for(job: RingJob, screw: Fastening, base: Base, tower: Outline) -> tuple[Fixing, ...]:
    """Return the fixings; a tool path opens outward where the tower would leave a thin wall outside it.

    Args:
        job: for the panel's pattern and the limits.
        screw: sizes.
        base: for the washer's face.
        tower: outline that holds the whole tower, seen along the panel's z.
    """
    recess = recess_for(job, screw)
    seat = base.thickness - SPOT
    return tuple(
        Fixing(
            name=name,
            at=at,
            step=job.panel.fixings.heights.get(name, 0.0),
            hole=screw.hole,
            washer=screw.washer,
            sink=screw.sink,
            head_top=seat + screw.stack,
            seat=seat,
            path=screw.path,
            relief=_relief(at, screw.path, tower, job.limits.wall_least),
            disc=screw.disc,
            recess=recess,
        )
        for name, at in job.panel.fixings.points.items()
    )


def _relief(at: Point, path: float, tower: Outline, wall: float) -> Outline:
    """Return a round path where it is clear of the tower or well inside it, else a slot open to the outside."""
    inside = tower.depth(at)
    if inside <= -path / 2 or inside >= path / 2 + wall:
        return circle(path, at)
    reach = hypot(*at)
    away = max(0.0, inside) + path / 2 + 1.0
    out = (at[0] * (1 + away / reach), at[1] * (1 + away / reach))
    return hull([circle(path, at), circle(path, out)])


def _bead(job: RingJob, opening: Outline) -> Groove | None:
    """Return the room on the back for a raised bead round the opening; None without a bead.

    The bead's diameters are taken along the opening's greater width. Where too little material would stay between room
    and opening to print, the room is open to the bore.
    """
    bead = job.panel.face.bead
    if bead is None:
        return None
    across = job.panel.opening.across
    room = max(job.limits.recess_across / 2, 3 * job.uncertainty("holes"))
    inner = (bead.inside - across) / 2 - room
    inside = offset_outline(opening, inner) if inner >= job.limits.lip else None
    return Groove(
        inside, offset_outline(opening, (bead.outside - across) / 2 + room), bead.height + job.limits.recess_deep
    )


def _seal(job: RingJob, inner: Outline) -> Groove | None:
    gasket, limits = job.gaskets.base, job.limits
    if gasket is None:
        return None
    inside = offset_outline(inner, limits.lip)
    return Groove(
        inside, offset_outline(inside, gasket.width + GROOVE_ROOM), gasket.thickness * (1 - limits.squeeze_pct / 100)
    )


def _steps(job: RingJob, screw: Fastening, recess: Recess | None, seal: Groove | None) -> tuple[FaceStep, ...]:
    """Return the raised underside at fixings where the face is higher, round what bears there, open to the outside.

    It is narrower where the gasket's groove is near. Where too little would stay between it and the opening, it is open
    to the bore as well.
    """
    bears = max(screw.washer, recess.diameter if recess else 0.0)
    opening, found = job.panel.opening.outline(), []
    for name, height in job.panel.fixings.heights.items():
        if height > 0:
            x, y = job.panel.fixings.points[name]
            land = inf if seal is None else -seal.outside.depth((x, y)) - STEP_LAND
            across = max(bears, min(bears + 2 * STEP_ROOM, 2 * land))
            away = 1 + (screw.disc + 2.0) / hypot(x, y)
            discs = [circle(across, (x, y)), circle(across, (x * away, y * away))]
            beside = -opening.depth((x, y)) - across / 2
            if beside < job.limits.wall_least:
                inward = 1 - (beside + across) / hypot(x, y)
                discs.append(circle(across, (x * inward, y * inward)))
            found.append(FaceStep(name, hull(discs), height))
    return tuple(found)
