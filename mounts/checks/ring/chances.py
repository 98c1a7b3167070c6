"""Chances that a ring goes on its panel's fixings, and stays clear of what was read round it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import ceil

from mounts.checks.chances import HELPS, FitChance, Remedy, clear_findings, compute_fit, percent
from mounts.checks.ring.fastening.joints import places
from mounts.checks.ring.holes import ReadHole, WantedHole, nearest_read
from mounts.design.chance import chance, known_errors, pressing, refine
from mounts.design.fasteners import thread_diameter, washer_for
from mounts.design.measured_planes import follows_face
from mounts.findings.compare import state
from mounts.findings.gap import Gap
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import PANEL
from mounts.geometry.ties import most_of
from mounts.identity import OPENING, Ident, Role
from mounts.kinds.ring.base import fit_chance, fixing_errors, gaps, largest_hole, wanted_hole
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.values import Ring
from mounts.load.models.panel import SurveyedPanel

STANDS_OUT = 1.3  # times its share of the force from which one fixing is said to jam most
SOURCE = "floating and fixed fasteners of ISO 5458 as a probability, every position off by its own error"


def chance_findings(job: RingJob, plan: Ring, around: Sequence[Gap], read: Sequence[ReadHole]) -> Iterator[Finding]:
    """Yield the chance that it goes on, that each thing that was read stays clear, and of all together.

    Args:
        job: what was measured and wanted.
        plan: of the ring.
        around: every gap of the virtual assembly, screws' ends included.
        read: holes as the finished mesh shows them.
    """
    fit = _fit(job, plan, read)
    yield _goes_on(job, fit)
    rests, helps = partial(_rests, job), partial(_what_helps, job, fit)
    yield from clear_findings(around, rests, job.sure, fit.whole, helps)


@dataclass(frozen=True, slots=True)
class _Fit:
    """Chance that all screws go in.

    Attributes:
        hole: diameter of the holes as planned, mm.
        planned: with these.
        shown: with those of the finished mesh; None where they were not found.
    """

    hole: float
    planned: FitChance
    shown: float | None

    @property
    def whole(self) -> FitChance:
        """The lower of the two chances."""
        known = self.planned.printed
        return replace(self.planned, printed=known if self.shown is None else min(known, self.shown))


def _fit(job: RingJob, plan: Ring, read: Sequence[ReadHole]) -> _Fit:
    hole = places(job, plan)[0].hole
    planned = compute_fit(fixing_errors(job), partial(fit_chance, job, hole))
    return _Fit(hole, planned, _as_read(job, plan, read))


def _goes_on(job: RingJob, fit: _Fit) -> Finding:
    verdict = fit.whole.verdict(job.sure)
    names, points = list(job.panel.fixings.points), list(job.panel.fixings.points.values())
    shares = (0.0,) if verdict is Verdict.PASS else pressing(points, gaps(job, fit.hole), fixing_errors(job))
    worst = shares.index(max(shares))
    stands_out = shares[worst] > STANDS_OUT / len(points)
    jams = f"; {names[worst]} jams most, {percent(shares[worst])} of the force" if stands_out else ""
    return state(
        "chance.fixings",
        verdict,
        f"chance that {len(points)} screws go in at once, holes {job.units(fit.hole, 1)}{jams}",
        100 * fit.planned.printed,
        100 * job.sure,
        measured=None if fit.shown is None else 100 * fit.shown,
        at=(*points[worst], 0.0) if stands_out else None,
        source=SOURCE,
        advice=lambda: _what_helps(job, fit).what,
        margin_sd=max(variance**0.5 for variance in _variances(job)),
    )


def _as_read(job: RingJob, plan: Ring, read: Sequence[ReadHole]) -> float | None:
    """Return the chance with the holes of the finished mesh; None where one of them is not found there."""
    growth, points = job.hole_growth, job.panel.fixings.points
    wanted = [
        WantedHole(Ident(Role.HOLE, one.name), PANEL, points[one.name], one.hole + growth) for one in places(job, plan)
    ]
    found = [one for hole in wanted if (one := nearest_read(read, hole))]
    if len(found) < len(wanted):
        return None
    off = tuple((hole.at[0] - one.at[0], hole.at[1] - one.at[1]) for hole, one in zip(wanted, found, strict=True))
    play = tuple(gaps(job, one.diameter - growth)[k] for k, one in enumerate(found))
    return chance(list(points.values()), play, replace(fixing_errors(job), off=off))


def _what_helps(job: RingJob, fit: _Fit, clear: float = 1.0) -> Remedy:
    """Return the remedy that helps most: the printer measured, or a wider hole and the readings to repeat.

    Args:
        job: what was measured and wanted.
        fit: of its fixings.
        clear: chance that it clears what is round it.
    """
    if fit.planned.printed > fit.whole.printed + HELPS:
        words = f"open its holes to {job.units(fit.hole, 1)}, or make it again: they are not as planned"
        return Remedy(words, fit.planned.printed)
    read, then = _reading(job, fit.hole)
    wider = _wider(job, fit.hole)
    then = fit_chance(job, wanted_hole(job)) if wider else then
    if fit.planned.calibrated >= max(min(then, job.sure), fit.planned.printed + HELPS):
        return fit.planned.calibrate(job, clear)
    if not wider:
        return Remedy(read or "use a finer instrument for all readings: no single one would help", then)
    return Remedy(f"{wider}{', or ' if read else ''}{read}", then)


def _wider(job: RingJob, hole: float) -> str:
    """Return what keeps a hole from being as wide as the chance needs, and what would allow it; "" where nothing."""
    wanted, most, fixing = wanted_hole(job), largest_hole(job), job.fix_to_panel
    if wanted <= hole + 1e-6:
        return ""
    need = f"{percent(job.sure)} need holes of {job.units(wanted, 1)}"
    if job.limits.hole is not None:
        more = job.units.key(wanted - thread_diameter(fixing.screw.thread), up=True)
        return (
            f"{need}, and limits: {{hole: {job.units(job.limits.hole)}}} keeps them at "
            f"{job.units(hole, 1)}: give {more} there"
        )
    if wanted <= most + 1e-6:
        return f"{need}: open them up"
    what = "washer" if fixing.washer else "head"
    across = ceil(washer_for(fixing, wanted) * 2 - 1e-6) / 2
    how = "a screw with a wider head" if fixing.screw.head == "countersunk" else f"a washer {job.units(across)} across"
    return f"{need}, and the {what} covers {job.units(most, 1)} at most: take {how}"


def _reading(job: RingJob, hole: float) -> tuple[str, float]:
    """Return the fixing whose readings would help most if exact, or all, in words; with the chance that follows."""
    errors, names = fixing_errors(job), list(job.panel.fixings.points)
    found = {name: fit_chance(job, hole, known_errors(errors, k)) for k, name in enumerate(names)}
    best = most_of(found, key=lambda name: found[name])
    every = fit_chance(job, hole, refine(errors, 2))
    if max(found[best], every) <= fit_chance(job, hole) + HELPS:
        return "", every
    said = f"repeat the readings of {best}: if they were exact, {percent(found[best])}"
    if found[best] >= job.sure:
        return said, found[best]
    extra = f"; read {job.panel.survey.next} as well" if _another(job) else ""  # type: ignore[attr-defined]
    return f"{said}; read all fixings twice as finely: {percent(every)}{extra}", max(found[best], every)


def _another(job: RingJob) -> bool:
    return isinstance(job.panel, SurveyedPanel) and bool(job.panel.survey.next)


def _variances(job: RingJob) -> list[float]:
    return [row[k] for k, row in enumerate(job.fixings_covariance())]


def _rests(job: RingJob, gap: Gap) -> Mapping[Ident, float]:
    """Return by how much one standard deviation of each reading moves a gap, mm."""
    sd, (x, y, _) = gap.sd or 0.0, gap.at
    if gap.between[1].role is Role.THING or gap.reading == "opening":
        read = OPENING if gap.reading == "opening" else gap.between[1]
        return {replace(read, label=f"the {read}"): sd} if sd else {}
    return {read: share * sd for read, share in follows_face(job.panel, gap.reading, (x, y)).items()}
