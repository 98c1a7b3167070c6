"""Work steps of a ring in two. They all stand on half a's sheet, to which half b's refers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from mounts.kinds.ring.drawings import joined_calipers
from mounts.kinds.ring.halves.values import Split
from mounts.kinds.ring.papers import before_ring
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.fastener import Manner
from mounts.load.models.hardware import Screw
from mounts.load.models.job_kinds import RingJob
from mounts.made import Made
from mounts.papers.hardware import driver_for
from mounts.papers.preparation import print_steps
from mounts.papers.values import WorkStep
from mounts.papers.wording import join_words

FLAT = "It stands as the file has it, base down and turned to fit the bed."
TONGUES = "both tongues"  # of half b, which hang free
MANNER = Manner(
    into=" into half a's tongues",
    sunk=", straight in, the last tenth with a flat plate, until flush.",
    cold="One that stands proud holds the halves apart.",
    formed="lap screws into half a",
)
JOIN = "Screw the halves together"


def half_print_steps(made: Made[RingJob, RingPlan]) -> tuple[WorkStep, ...]:
    """Return the steps that print and measure one half."""
    half = made.job.half
    steps = tuple(print_steps(made, FLAT, TONGUES) if half == "b" else print_steps(made, FLAT))
    if half == "b":
        return (*steps, WorkStep("Dress what the support leaves on the tongues: they lie on half a's."))
    return steps


def join_steps(made: Made[RingJob, RingPlan]) -> Iterator[WorkStep]:
    """Yield the steps that join half b to half a."""
    job, split = made.job, made.plan.split
    fix = job.fix_halves
    assert split is not None
    assert fix is not None
    count = len(split.screws)
    yield WorkStep("Half b is printed by its own sheet. You need both halves from here on, and a flat plate.")
    step = fix.hardware.set_in_part(count, MANNER)
    if step is not None:
        yield WorkStep(*step)
    yield WorkStep(
        "Lay half a on the plate and half b onto it, from the front, dry: the tongues meet, both backs lie flat.",
        f"There is {split.gap:.1f} of play between their faces. Where they bind, dress the tongues' sides with a file.",
    )
    yield WorkStep(
        "A thin bead of sealant all over half a's tongues. Half b on again, on the plate; "
        f"{_screws(split, fix.screw)}: by hand, in turn, until the tongues meet, then no more.",
        "The laps are part of the seal. Wipe the seat and the groove clean before it skins; let it cure as its maker "
        "says.",
    )
    sizes = join_words(f"{one.what} {one.least:.1f} to {one.most:.1f}" for one in joined_calipers(job, made.plan))
    if sizes:
        yield WorkStep(
            f"Measure what only the joined ring shows: {sizes}.", "Before the sealant has cured it can be moved."
        )


def _screws(split: Split, screw: Screw | None) -> str:
    """Return the lap screws by length, and the tool that turns them, in words."""
    if screw is None:
        return f"{len(split.screws)} screws"
    lengths = Counter(one.length for one in split.screws)
    found = join_words(
        f"{many} screws {screw.thread} × {long:g}" for long, many in sorted(lengths.items(), reverse=True)
    )
    return f"{found}, {driver_for(screw)}"


def refer_before(made: Made[RingJob, RingPlan]) -> tuple[WorkStep, ...]:
    """Return the step of half b's sheet that refers to what comes first on half a's."""
    last = _first_of_half_a(made) - 1
    return (WorkStep(f"Steps 1 to {last} of half a's sheet come first: they are done once for both."),)


def refer_after(made: Made[RingJob, RingPlan]) -> tuple[WorkStep, ...]:
    """Return the step of half b's sheet that refers to where the work goes on."""
    goes_on = _first_of_half_a(made) + len(tuple(print_steps(made, FLAT)))
    return (
        WorkStep(
            f"Go on with half a's sheet, “{JOIN}”, from step {goes_on}: that, the panel, the fitting and all screws "
            "are on that page."
        ),
    )


def _first_of_half_a(made: Made[RingJob, RingPlan]) -> int:
    """Return the number of the step of half a's sheet with which its print begins."""
    return len(tuple(before_ring(made))) + 1
