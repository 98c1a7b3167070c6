"""Known mounts that would go on another panel as printed, and how surely."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from mounts.design.chance import Slot, chance
from mounts.errors import MountsError
from mounts.geometry.frames import Array
from mounts.geometry.registration import Motion
from mounts.kinds.kind import kind_of
from mounts.kinds.speaker_kind import MountHoles
from mounts.load.catalogue.panel_summary import PanelSummary
from mounts.load.models.panel import OTHER
from mounts.load.models.speaker_job import SpeakerJob
from mounts.load.parse.units import format_clock
from mounts.load.resolve.job import load_from
from mounts.load.resolve.library import Library
from mounts.matching.index import Index, based_on, jobs_on
from mounts.matching.match import Match

UPRIGHT = 2.0  # degrees by which a pattern may lie turned and still be called upright


@dataclass(frozen=True, slots=True)
class Serving:
    """One job's mount on another panel than its own.

    Attributes:
        job, file: the job's.
        kind: kind of mount.
        speaker: speaker that it carries.
        side: whose part it is, left or right; "" where there is none.
        holes: diameter of each hole in the mount as it comes out, and of what goes through it; of a cup, the gaps.
        as_read: chance that it goes on, going by the other panel's own readings.
        if_same: the same if both patterns are truly one, which both sets of readings then tell of; None where they
            disagree by more than their errors explain.
        sure: chance that the job wants.
        why: why there is no such part, or no chance is given; "" where there is.
        turned: lines of a job for the other panel, for what its job says in directions that are others there.
    """

    job: str
    file: Path
    kind: str
    speaker: str
    side: str
    holes: str
    as_read: float | None
    if_same: float | None
    sure: float
    why: str
    turned: tuple[str, ...] = ()

    @property
    def chance(self) -> float | None:
        """The chance that counts: if the same, where the readings agree, else as read."""
        return self.as_read if self.if_same is None else self.if_same

    @property
    def goes_on(self) -> bool:
        """True if it goes on as surely as its job wants."""
        return self.chance is not None and self.chance >= self.sure


def servings(match: Match, panel: PanelSummary, jobs: Index | Sequence[Index], library: Library) -> tuple[Serving, ...]:
    """Return how the mount of every job on a library's panel would serve another panel.

    Args:
        match: the library's panel on the other one.
        panel: the other one.
        jobs: the library's jobs by panel, or those of each layer.
        library: where they are loaded.
    """
    layers = [jobs] if isinstance(jobs, Index) else jobs
    names: set[str] = set()
    sought = [match.known.name]
    while sought:
        key = sought.pop()
        found = {name for index in layers for name in jobs_on(index, key)} - names
        names |= found
        sought += [based_on(name) for name in found]
    return tuple(_serving(match, panel, name, library) for name in sorted(names))


def _serving(match: Match, panel: PanelSummary, name: str, library: Library) -> Serving:
    file = library.find("job", name)
    try:
        made = load_from(library, file)
    except MountsError as error:
        first = str(error).splitlines()[0]
        return Serving(name, file, "", "", "", "", None, None, 1.0, f"it does not load: {first}")
    job = made[0]
    told = Serving(name, file, job.kind, "", "", "", None, None, 1.0, "")
    kind = kind_of(job)
    if kind.holds is None or not isinstance(job, SpeakerJob):
        return replace(told, why=f"a {job.kind} has no holes")
    told = replace(told, speaker=job.speaker.name, sure=job.sure)
    side, why = _side(match, job.panel.name)
    part = next((one for one in made if one.side == side and isinstance(one, SpeakerJob)), None)
    if why or part is None:
        have = " and ".join(one.side for one in made)
        return replace(
            told, why=why or f"it makes the {have} part, and the {side} one goes here: write sides: [left, right]"
        )
    try:
        holes = kind.holds.holes(part, [one for one, _ in match.pairs])
    except MountsError as error:
        return replace(told, why=str(error).splitlines()[0])
    as_read, if_same = chances(match, panel, holes)
    turned = tuple(_directions(part, match.fit.motion))
    return replace(told, side=side, holes=holes.words, as_read=as_read, if_same=if_same, turned=turned)


def _side(match: Match, name: str) -> tuple[str, str]:
    """Return whose part goes there: that of the library panel's own side, or of the other side where mirrored.

    Returns:
        The side, and why there is none.
    """
    known = match.known
    if name != known.name:
        return "", f"it is for {name}"
    if not match.fit.motion.mirrored:
        return known.side, ""
    if known.other_side != "mirrored":
        return "", f"the mirror image of {known.name} goes here, which no job makes: give it other_side: mirrored"
    return OTHER["left" if known.side == "left" else "right"], ""


def chances(match: Match, panel: PanelSummary, holes: MountHoles) -> tuple[float, float | None]:
    """Compute the chance that a mount goes on: as the other panel was read, and if both patterns are truly one.

    As read, its pins stand where they were read, off by that reading's errors. If both are one pattern, both readings
    tell where it is: the likeliest place lies between them, nearer to the better one, and is known better than either.
    """
    points = [panel.points[two] for _, two in match.pairs]
    slots = tuple(_turn_slot(slot, match.fit.motion) for slot in holes.slots)
    off = -np.array(match.fit.residuals).ravel()  # of the pins from the holes' middles
    here = _covariance(panel, [two for _, two in match.pairs], Motion())

    def chance_at(away: Array, spread: Array) -> float:
        read = tuple(tuple(float(value) for value in row) for row in spread)
        pairs = tuple((float(x), float(y)) for x, y in away.reshape(-1, 2))
        return chance(points, holes.gaps, replace(holes.errors, read=read, off=pairs), slots)

    as_read = chance_at(off, here)
    if not match.agrees:
        return as_read, None
    there = _covariance(match.known, [one for one, _ in match.pairs], match.fit.motion)
    share = there @ np.linalg.pinv(there + here)  # of what lies between the readings, the library's error
    return as_read, chance_at(share @ off, there - share @ there)


def _covariance(known: PanelSummary, names: Sequence[str], motion: Motion) -> Array:
    """Return the covariance of some points of a panel, carried by a motion, (2n, 2n) mm²."""
    if known.spread is None:
        return np.eye(2 * len(names)) * known.sd**2
    order = [known.names.index(name) for name in names]
    rows = np.array([[2 * k, 2 * k + 1] for k in order]).ravel()
    turn = replace(motion, shift=(0.0, 0.0))
    axes = np.array([turn.moved((1.0, 0.0)), turn.moved((0.0, 1.0))]).T
    whole = np.kron(np.eye(len(names)), axes)
    carried: Array = whole @ np.array(known.spread)[np.ix_(rows, rows)] @ whole.T
    return carried


def _directions(part: SpeakerJob, motion: Motion) -> Iterator[str]:
    """Yield a part's directions for the other panel, where they differ there; the part is of its own side."""
    if not motion.mirrored and abs(motion.turn) < UPRIGHT:
        return
    if part.aim.tilt:
        yield f'aim: {{tilt: {part.aim.tilt:g}, toward: "{format_clock(part.aim.toward + motion.turn)}"}}'
    if part.wire:
        yield f'wire: {{at: "{format_clock(part.wire.at + motion.turn)}", across: {part.wire.across:g}}}'
    if any(part.seat_offset):
        x, y = Motion(False, motion.turn).moved(part.seat_offset)
        yield f"seat_offset: [{x:.1f}, {y:.1f}]"
    if not isinstance(part.turn, str):
        yield f"turn: {part.turn + motion.turn:g}"


def _turn_slot(slot: Slot | None, motion: Motion) -> Slot | None:
    """Return a slot's direction carried from the mount's panel to the other; mirroring is already done."""
    return None if slot is None else (*Motion(False, motion.turn).moved(slot[:2]), slot[2])
