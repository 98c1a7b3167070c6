"""Trial of the library's speakers in a place, at several tilts."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import TYPE_CHECKING

from mounts.choosing.trial import TrialPlace, Workshop, error_text, trial_job
from mounts.errors import InputError
from mounts.findings.report import Verdict
from mounts.geometry.ties import MARGIN, sort_with_ties
from mounts.kinds.kind import TRIED, kind_of
from mounts.kinds.speaker_kind import Margin
from mounts.load.models.job import AimAngles
from mounts.load.models.pins import PinPanel
from mounts.load.models.speaker import Speaker
from mounts.load.models.speaker_job import SpeakerJob
from mounts.load.resolve.library import Library

if TYPE_CHECKING:
    from mounts.kinds.review import Change

PLANS = 4  # that are tried of what goes in with a warning; of what does not, as many as a build tries
SMALL = 60.0  # mm: in openings up to this, tweeters are tried too


@dataclass(frozen=True, slots=True)
class TiltTrial:
    """One speaker at one tilt.

    Attributes:
        tilt: degrees.
        margin: None where it cannot be drawn.
        why: why not; "" where it can.
        change: what it is made with instead of what is usual; None for nothing.
    """

    tilt: float
    margin: Margin | None
    why: str
    change: Change[SpeakerJob] | None = None

    @property
    def passes(self) -> bool:
        """True if the speaker goes in, perhaps with a warning."""
        return self.margin is not None and self.margin.verdict is not Verdict.FAIL


@dataclass(frozen=True, slots=True)
class SpeakerChoice:
    """One speaker in a place.

    Attributes:
        speaker: its file's values.
        trials: one a tilt.
        unread: paths of its own readings that are missing, so that a check is, too.
    """

    speaker: Speaker
    trials: tuple[TiltTrial, ...]
    unread: tuple[str, ...]

    @property
    def passes(self) -> bool:
        """True if the speaker goes in at one tilt at least."""
        return any(trial.passes for trial in self.trials)

    @property
    def margin(self) -> float:
        """Greatest margin over all tilts, mm: of those at which it goes in where there are any; −inf for none."""
        drawn = [trial for trial in self.trials if trial.margin and trial.passes >= self.passes]
        return max((t.margin.margin for t in drawn if t.margin and t.margin.margin is not None), default=-inf)


@dataclass(frozen=True, slots=True)
class Choices:
    """All speakers that were tried.

    Attributes:
        choices: those that go in first, by margin.
        left_out: names of speakers that were not tried, being of the other sort.
        broken: names of those that do not load.
        unread: paths of the panel's readings that are missing.
        job: one of the jobs, for what they were planned with; None where none was.
    """

    choices: tuple[SpeakerChoice, ...]
    left_out: tuple[str, ...]
    broken: tuple[str, ...]
    unread: tuple[str, ...]
    job: SpeakerJob | None


def try_speakers(
    library: Library, place: TrialPlace, workshop: Workshop, tilts: Sequence[float], tell: Callable[[int, int], None]
) -> Choices:
    """Try a person's own speakers of the right sort, and those that ship too where none of these goes in.

    Args:
        library: library that holds them.
        place: the panel.
        workshop: what mounts are made of.
        tilts: degrees, each 0 or more.
        tell: called with how many speakers of how many are done.
    """
    own, every = library.layers.own_names("speaker"), library.layers.names("speaker")
    loaded: dict[str, Speaker | None] = {}
    tried: set[str] = set()
    found: list[SpeakerChoice] = []
    jobs: list[SpeakerJob] = []
    for names in (own, [name for name in every if name not in own]):
        if any(choice.passes for choice in found):
            break
        loaded |= {name: library.get("speaker", name).value for name in names}
        fitting = {n: one for n in names if (one := loaded[n]) is not None and _is_of_sort(one, place)}
        tried |= fitting.keys()
        for number, (name, speaker) in enumerate(fitting.items()):
            tell(number, len(fitting))
            level = _job(library, place, name, workshop)
            jobs += [level] if isinstance(level, SpeakerJob) else []
            found.append(_choice(level, speaker, place, tilts))
    found = sort_with_ties(found, (lambda one: -one.passes, 0.5), (lambda one: -one.margin, MARGIN))
    unread = kind_of(jobs[0]).unread(jobs[0]) if jobs else ()
    return Choices(
        choices=tuple(found),
        left_out=tuple(name for name, speaker in loaded.items() if speaker is not None and name not in tried),
        broken=tuple(name for name, speaker in loaded.items() if speaker is None),
        unread=tuple(path for path in unread if path.startswith("panel.")),
        job=jobs[0] if jobs else None,
    )


def _is_of_sort(speaker: Speaker, place: TrialPlace) -> bool:
    """Return whether a speaker is tried: tweeters on pins and in small openings, larger ones in openings."""
    if isinstance(place.panel, PinPanel):
        return speaker.type == "dome"
    return speaker.type == "cone" or place.panel.opening.least <= SMALL


def _job(library: Library, place: TrialPlace, name: str, workshop: Workshop) -> SpeakerJob | str:
    """Return the job of a speaker, level, or why there is none."""
    speaker: Speaker = library.get("speaker", name).value
    held = "flange" if isinstance(place.panel, PinPanel) and speaker.holes else "press"
    try:
        return trial_job(library, place, name, workshop, held)
    except InputError as error:
        return error_text(error)


def _choice(level: SpeakerJob | str, speaker: Speaker, place: TrialPlace, tilts: Sequence[float]) -> SpeakerChoice:
    """Return a speaker's trials at all tilts."""
    if isinstance(level, str):
        return SpeakerChoice(speaker, tuple(TiltTrial(tilt, None, level) for tilt in tilts), ())
    unread = tuple(path for path in kind_of(level).unread(level) if path.startswith("speaker."))
    return SpeakerChoice(speaker, tuple(try_at(level, tilt, place.toward) for tilt in tilts), unread)


def try_at(level: SpeakerJob, tilt: float, toward: float) -> TiltTrial:
    """Return the trial of a job at a tilt; where it misses something, of what keeps it.

    It says no only where the search for a change that a build asks ends without a mount, too.
    """
    job = replace(level, aim=AimAngles(tilt, toward if tilt else 0.0))
    found, review = _as_it_is(job, tilt), kind_of(job).review()
    if found.margin and found.margin.verdict is Verdict.PASS:
        return found
    if found.passes:
        change = review.change(job, PLANS)
        if change is None or change.left or "tilt" in change.lines:
            return found
    else:
        change = review.change(job, TRIED) if review.room(job) else None
        if change is None or change.fails:
            return found
    return replace(_as_it_is(change.job, tilt), change=change)


def _as_it_is(job: SpeakerJob, tilt: float) -> TiltTrial:
    """Return the trial of a job without a change."""
    holds = kind_of(job).holds
    try:
        return TiltTrial(tilt, holds.margin(job) if holds else None, "")
    except InputError as error:
        return TiltTrial(tilt, None, error_text(error))
