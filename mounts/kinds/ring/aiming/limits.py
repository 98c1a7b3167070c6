"""Constraints on a seat's place, as margins of many places at once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from mounts.design.clearances import SpeakerRoom
from mounts.design.fasteners import Fastening
from mounts.geometry.frames import PANEL, Array
from mounts.geometry.rims import Picks
from mounts.identity import Pair, Role, called
from mounts.kinds.ring.aiming.bed import Top
from mounts.kinds.ring.aiming.freedom import Freedom, Poses
from mounts.kinds.ring.aiming.walls import wall_rooms
from mounts.kinds.ring.height import Bounds
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import RingSeat
from mounts.kinds.ring.seat_clearances import proven_rooms, speaker_rooms
from mounts.kinds.ring.trim import cover_rooms, edge_bodies, lid_rooms

ROUNDED = 0.02  # mm kept over every limit, so that places may be rounded to hundredths
TILT = called(Role.LIMIT, "tilt")
TENTH = 0.1  # mm by which a height that is the least is rounded up at most
AROUND = np.arange(0.0, 360.0, 10.0)  # clock directions


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit of a search; several may rest on one reading.

    Attributes:
        code, between, reading: as of a gap; for what is no clearance, what it is and where it is given.
        wanted: least value.
        spare: what is kept above that for the uncertainty of the reading.
        unit: mm or deg.
    """

    code: str
    between: Pair
    reading: str
    wanted: float
    spare: float
    unit: str = "mm"

    @property
    def cause(self) -> str:
        """Reading that has to change for more room, or the limit itself where no reading is given."""
        return self.reading or f"{self.code} {self.between[0].id} {self.between[1].id}"


@dataclass(frozen=True, slots=True, eq=False)
class LinearCut:
    """Linear constraint from a drawn ring: its margin at a place, and its slopes there.

    Attributes:
        limit: limit that was missed.
        at: numbers of the place, (count,).
        margin: mm.
        slopes: (count,).
    """

    limit: Limit
    at: Array
    margin: float
    slopes: Array


@dataclass(frozen=True, slots=True, eq=False)
class PoseLimits:
    """All constraints: clearances, which may be missed where nothing fits, and hard constraints.

    Attributes:
        rooms: clearances.
        freedom: what is free.
        bounds: what keeps the seat up.
        most: greatest tilt, degrees, and where it comes from.
        aside: greatest offset, mm.
        quantile: standard deviations kept above every limit that rests on a reading.
        cuts: what rings that were drawn showed of other clearances and walls.
        top: where the ring is highest, and how high its printer prints; None where that is no limit.
        bed: what a ring that was drawn showed of the bed.
        bare: what rings that were drawn showed of walls that all but vanish.
    """

    rooms: tuple[SpeakerRoom, ...]
    freedom: Freedom
    bounds: Bounds
    most: tuple[tuple[float, Limit], ...]
    aside: float
    quantile: float
    cuts: tuple[LinearCut, ...] = ()
    top: tuple[Top, float, Limit] | None = None
    bed: tuple[LinearCut, ...] = ()
    bare: tuple[LinearCut, ...] = ()

    def only(self, rooms: Iterable[SpeakerRoom]) -> PoseLimits:
        """Return the limits with only some of the clearances."""
        return replace(self, rooms=tuple(rooms))

    def spare(self, room: SpeakerRoom) -> float:
        """Return what is kept above a clearance's limit for its reading's uncertainty, mm."""
        return self.quantile * (room.sd or 0.0)

    def soft(self, poses: Poses, picks: Sequence[Picks] | None = None) -> tuple[Array, tuple[Picks, ...]]:
        """Return the margins of the clearances, (n, rows), and the picks of each that its slopes are taken with."""
        frames = poses.frames
        told = [room.measure(frames, picks[k] if picks else None) for k, room in enumerate(self.rooms)]
        margins = [
            one.values - room.wanted - self.spare(room) - ROUNDED for one, room in zip(told, self.rooms, strict=True)
        ]
        margins += self._of_cuts(self.cuts, poses)
        return np.concatenate(margins or [np.zeros((len(poses.tilts), 0))], axis=1), tuple(one.picks for one in told)

    def _of_cuts(self, cuts: Sequence[LinearCut], poses: Poses) -> list[Array]:
        """Return the margins of the linear constraints, each (n, 1)."""
        numbers = self.freedom.numbers(poses)
        return [(cut.margin + (numbers - cut.at) @ cut.slopes)[:, None] for cut in cuts]

    def rows(self, picks: Sequence[Picks]) -> tuple[Limit, ...]:
        """Return the limit of each row of the clearances."""
        found: list[Limit] = []
        for room, picked in zip(self.rooms, picks, strict=True):
            pairs = room.pairs(picked.shape[1])
            found += [Limit(room.code, pair, room.reading, room.wanted, self.spare(room)) for pair in pairs]
        return (*found, *(cut.limit for cut in self.cuts))

    def hard(self, poses: Poses) -> Array:
        """Return the margins of what must hold for the part to be drawn and printed, (n, rows)."""
        flat = Poses(poses.tilts, poses.towards, np.zeros(len(poses.tilts)), poses.offsets)
        found = [self.bounds.margins(flat.frames, poses.heights) - ROUNDED] if self.is_held else []
        found += [(most - poses.tilts)[:, None] for most, _ in self.most]
        if self.freedom.aside:
            found.append((self.aside - np.hypot(*poses.offsets.T))[:, None] - ROUNDED)
        if self.top:
            top, tall, _ = self.top
            found.append(tall - top.each(poses.frames) - (ROUNDED if self.is_held else TENTH))
        found += self._of_cuts((*self.bed, *self.bare), poses)
        return np.concatenate(found or [np.zeros((len(poses.tilts), 0))], axis=1)

    @property
    def is_held(self) -> bool:
        """True if the height is one that may be too low."""
        return not isinstance(self.freedom.height, Bounds)

    def hard_rows(self) -> tuple[Limit, ...]:
        """Return the limit of each row of the hard constraints."""
        held = self.bounds.each if self.is_held else ()
        found = [
            Limit("height", (called(Role.LIMIT, bound.why), called(Role.LIMIT, "the face")), "", 0.0, 0.0)
            for bound in held
        ]
        found += [limit for _, limit in self.most]
        if self.freedom.aside:
            found.append(
                Limit(
                    "aside",
                    (called(Role.LIMIT, "the seat"), called(Role.LIMIT, "the opening's centre")),
                    "limits.aside",
                    0.0,
                    0.0,
                )
            )
        found += [self.top[2]] * self.top[0].rows if self.top else []
        return (*found, *(cut.limit for cut in (*self.bed, *self.bare)))


def limits_of(job: RingJob, seat: RingSeat, screw: Fastening, bounds: Bounds, freedom: Freedom) -> PoseLimits:
    """Return the limits of a job whose speaker is turned on its seat as given.

    The chance that all clearances are kept is shared out among the readings (Bonferroni): each may fail in one of so
    many parts of 1 − sure. What rests on one reading fails together, so it counts once.
    """
    edge = () if job.collar else cover_rooms(job, edge_bodies(replace(seat, frame=PANEL)))
    rooms = (*speaker_rooms(job, seat), *edge, *proven_rooms(job, seat), *wall_rooms(job, seat, screw))
    rooms = (*rooms, *lid_rooms(job, replace(seat, frame=PANEL)))
    readings = {room.reading for room in rooms if room.sd}
    quantile = NormalDist().inv_cdf(1 - (1 - job.sure) / len(readings)) if readings else 0.0
    overhang = Limit(
        "print.overhang", (TILT, called(Role.LIMIT, job.printer.name)), "printer.overhang", 0.0, 0.0, "deg"
    )
    most = [(job.printer.overhang, overhang)] if freedom.tilt is None and freedom.turns else []
    if most and job.sought:
        within = Limit("aim", (TILT, called(Role.LIMIT, "what the job allows")), "aim.within", 0.0, 0.0, "deg")
        most.append((job.sought.within, within))
    aside = job.sought.aside if job.sought else 0.0
    top = None if job.collar else _top(job, Top.of(seat), bounds, freedom)
    return PoseLimits(rooms, freedom, bounds, tuple(most), aside, max(0.0, quantile), top=top)


def _top(job: RingJob, top: Top, bounds: Bounds, freedom: Freedom) -> tuple[Top, float, Limit] | None:
    """Return how high the printer prints, as a limit; None where even the lowest seat is too high for it.

    A collar reaches up to the trim wherever its seat is, so for such a ring this is no limit.
    """
    towards = AROUND if freedom.toward is None else np.array([freedom.toward])
    tilts, offsets = np.full(len(towards), freedom.tilt or 0.0), np.tile(freedom.offset, (len(towards), 1))
    level = Poses(tilts, towards, np.zeros(len(towards)), offsets)
    least = bounds.least(level.frames).max(axis=1)
    low = replace(level, heights=freedom.height + level.heights if isinstance(freedom.height, float) else least)
    tall = job.printer.bed[2]
    if top(low.frames).min() > tall - TENTH:
        return None
    between = (called(Role.PART, "the mount's top"), called(Role.LIMIT, f"the height that {job.printer.name} prints"))
    return top, tall, Limit("bed", between, "printer.bed.2", 0.0, 0.0)
