"""Work steps of a cup: how it is made and staked. What has no source is common practice."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.papers import readings, template_step
from mounts.kinds.cup.values import CupPlan, Stake
from mounts.load.models.fastener import Manner
from mounts.load.parse.units import format_clock
from mounts.made import Made
from mounts.papers.preparation import preparation_steps, print_steps
from mounts.papers.values import Steps, WorkStep, numbered
from mounts.papers.wording import join_words

MANNER = Manner(
    sunk=" if it does not sink by its own weight and a finger's; flush with the seat.",
    cold="Let it cool for a minute before you try the screw.",
)


def cup_steps(made: Made[CupJob, CupPlan]) -> tuple[Steps, ...]:
    """Return the work on one cup, or on both sides' when they are alike."""
    job, plan = made.job, made.plan
    work = (
        ("Put the tweeter in", tuple(_tweeter(job, plan))),
        ("Stake it, on the bench", tuple(_staking(job, plan))),
    )
    parts = (
        ("Before you melt or print", preparation_steps(made, "take the panel off", template_step(job), readings(job))),
        ("Make it", (*print_steps(made, "It stands on its back, as the file has it."), *_inserts(job, plan))),
        *(work if plan.way == "cup" else reversed(work)),
        ("Fit it", _fit()),
    )
    return numbered(parts)


def _inserts(job: CupJob, plan: CupPlan) -> Iterator[WorkStep]:
    fix = job.fix_speaker
    step = fix.hardware.set_in_part(len(plan.seat.screws), MANNER) if fix is not None and plan.seat.screws else None
    if step is not None:
        yield WorkStep(*step)
    yield WorkStep("Blow the chips out of holes and wells.")
    if plan.seat.press is None:
        yield WorkStep("Try the tweeter in its seat, and take it out again.")


def _staking(job: CupJob, plan: CupPlan) -> Iterator[WorkStep]:
    cut = [stake for stake in plan.stakes if stake.cut > 0]
    yield WorkStep(
        "Panel face down on a flat rest with a soft cloth, out of the vehicle. Air the room.",
        "Never stake in the vehicle, and never a panel that covers an airbag.",
    )
    if cut:
        words = join_words(f"{one.name} by {job.units(one.cut, 1)}" for one in cut)
        yield WorkStep(
            f"Shorten the pins: {words}. Square, with a sharp cutter.", "Longer than that, the head runs over."
        )
    locator = join_words(f"{one.name} is the {one.role}" for one in plan.stakes if one.role != "clearance")
    yield WorkStep(
        f"Cup onto the pins, plate flat on the rear face, UP at the top. {locator}."
        if locator
        else "Cup onto the pins.",
        "It must lie flat without being pressed. The pins stand behind the plate by "
        + join_words(f"{one.name} {job.units(one.protrudes, 1)}" for one in plan.stakes)
        + ": measure them.",
    )
    plastic = f" The panel is {job.panel.plastic}." if job.panel.plastic else ""
    yield WorkStep(
        f"Iron at 210 °C, tip {job.units(job.staking.tip)} across.{plastic} Try a spare pin or a sprue first. If "
        f"it does not soften "
        "in 5 seconds, 10 °C more, never above 250 °C. If it smokes or browns, 20 °C less.",
        "210 to 250 °C is what setting and staking irons run at; too hot makes brittle heads.",
    )
    order = " → ".join(one.name for one in _round(plan))
    if plan.way == "cup":
        yield WorkStep(
            "Hold a strip of metal sheet between iron and tweeter at every head; wait while the tweeter is more than "
            "hand-warm.",
            "Heat softens what holds its coil, and its magnet draws the iron's tip.",
        )
    yield WorkStep(
        f"Stake in this order: {order}. Straight down, gently, until the tip rests in its well; hold 3 to 5 seconds; "
        "heat off or away, hold 10 seconds more until the head is cold; lift.",
        "If the head draws strings, you lifted the iron too soon: let it cool first.",
    )
    yield WorkStep(
        "Check each head: "
        + join_words(
            f"{one.name} ⌀ {job.units(one.head.diameter, 1)}, {job.units(one.head.height, 1)} high"
            for one in plan.stakes
        )
        + ". Whole, round, no crack; the plate does not move.",
        "Too low and wide: too hot or too hard. A ring of gap: warm it again.",
    )


def _round(plan: CupPlan) -> list[Stake]:
    """Sort the stakes in the order of staking: locator, slot, then the others."""
    order = {"locator": 0, "slot": 1}
    return sorted(plan.stakes, key=lambda one: order.get(one.role, 2))


def _tweeter(job: CupJob, plan: CupPlan) -> Iterator[WorkStep]:
    """Yield the work that puts the tweeter into its cup, on the way that the plan chose."""
    through = plan.way == "grille"
    if through:
        yield WorkStep("All heads cold? Stand the panel up so that you reach both faces, and take its grille off.")
    way = f" through the notch at {format_clock(job.wire.at)}" if plan.wire is not None and job.wire is not None else ""
    if plan.back is not None:
        way = " through the hole beside the vent" if plan.back.wire is not None else " through the vent"
    to = " and out at the grille's opening" if through else ""
    yield WorkStep(
        f"Cable from behind into the cup{way}{to}: + to the marked tag, on both sides alike, crimped. An adhesive pad "
        "holds it so that it cannot rattle.",
        "A tweeter needs its crossover or capacitor in the line, or the first bass note ends it.",
    )
    straight = "Tweeter in through the grille's opening, straight" if through else "Tweeter into the cup from its front"
    if plan.seat.press is not None:
        keep = "lugs snap" if plan.seat.press.lugs else "lip snaps"
        bears = " One hand behind the cup bears it, so that its heads do not." if through else ""
        yield WorkStep(
            f"{straight}; press it home with both thumbs on its flange, until the {keep} over it.{bears}",
            "Never on the dome. It goes once; a second time the ribs hold less.",
        )
    elif job.retention.by == "flange":
        yield WorkStep(f"{straight}; {len(plan.seat.screws)} screws by hand, crosswise, until its flange lies flat.")
    else:
        yield WorkStep(f"{straight}; its {job.retention.by} on from behind, hand-tight.")
    if through:
        yield WorkStep("Grille back on.")
        return
    yield WorkStep(
        "Play it quietly, and see that no chip lies on its front. Bind its cable behind the cup, clear of every well.",
        "Once the cup is staked nobody reaches the tweeter's front, and it comes out only with the cup.",
    )


def _fit() -> Iterator[WorkStep]:
    yield WorkStep(
        "Shake it: nothing rattles. Pull at the cup with two fingers: nothing moves. Panel back, battery on."
    )
    yield WorkStep("Play it quietly first. Fill in the return sheet.")
    yield WorkStep("After the first hot days: pull at it again.")
