"""How a tweeter's cup is made and staked, and how a spacer goes in. What has no source is common practice."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.kinds.cup.values import CupPlan, Stake
from mounts.kinds.spacer.values import SpacerPlan
from mounts.load.models.hardware import Insert
from mounts.load.models.resolved import CupJob, SpacerJob
from mounts.load.units import clock_words
from mounts.made import Made
from mounts.papers.before import before, printed
from mounts.papers.values import Step, Steps, numbered
from mounts.papers.words import listed


def cup_steps(made: Made) -> tuple[Steps, ...]:
    """The work on one cup, or on both sides' when they are alike."""
    job, plan = made.job, made.plan
    assert isinstance(job, CupJob)
    assert isinstance(plan, CupPlan)
    parts = (
        ("Before you melt or print", before(made)),
        ("Make it", (*printed(made, "It stands on its back, as the file has it."), *_inserts(job, plan))),
        ("Stake it, on the bench", _staking(job, plan)),
        ("Fit it", _fit(job, plan)),
    )
    return numbered(parts)


def spacer_steps(made: Made) -> tuple[Steps, ...]:
    """The work on one spacer."""
    job, plan = made.job, made.plan
    assert isinstance(job, SpacerJob)
    assert isinstance(plan, SpacerPlan)
    halves = plan.slit is not None and plan.slit.half is not None
    parts = (
        ("Before you print", before(made)),
        ("Make it", printed(made, "It stands on its front, as the file has it." + (" Both halves." if halves else ""))),
        ("Fit it", _sleeve(job, plan)),
    )
    return numbered(parts)


def _inserts(job: CupJob, plan: CupPlan) -> Iterator[Step]:
    fix = job.fix_speaker
    if fix is not None and isinstance(fix.hardware, Insert) and plan.seat.screws:
        yield Step(
            f"Set {len(plan.seat.screws)} inserts {fix.hardware.thread}: iron at 210 °C, up to 250 °C "
            f"if it does not sink "
            "by its own weight and a finger's; flush with the seat.",
            "Let it cool for a minute before you try the screw.",
        )
    yield Step("Try the tweeter in its seat, and take it out again. Blow the chips out of holes and wells.")


def _staking(job: CupJob, plan: CupPlan) -> Iterator[Step]:
    cut = [stake for stake in plan.stakes if stake.cut > 0]
    yield Step(
        "Panel face down on a flat rest with a soft cloth, out of the vehicle. Air the room.",
        "Never stake in the vehicle, and never a panel that covers an airbag.",
    )
    if cut:
        words = listed(f"{one.name} by {one.cut:.1f}" for one in cut)
        yield Step(f"Shorten the pins: {words}. Square, with a sharp cutter.", "Longer than that, the head runs over.")
    locator = listed(f"{one.name} is the {one.role}" for one in plan.stakes if one.role != "clearance")
    yield Step(
        f"Cup onto the pins, plate flat on the rear face, UP at the top. {locator}."
        if locator
        else "Cup onto the pins.",
        "It must lie flat without being pressed. The pins stand behind the plate by "
        + listed(f"{one.name} {one.protrudes:.1f}" for one in plan.stakes)
        + ": measure them.",
    )
    plastic = f" The panel is {job.panel.plastic}." if job.panel.plastic else ""
    yield Step(
        f"Iron at 210 °C, tip {job.staking.tip:g} across.{plastic} Try a spare pin or a sprue first. If "
        f"it does not soften "
        "in 5 seconds, 10 °C more, never above 250 °C. If it smokes or browns, 20 °C less.",
        "210 to 250 °C is what setting and staking irons run at; too hot makes brittle heads.",
    )
    order = " → ".join(one.name for one in _round(plan))
    yield Step(
        f"Stake in this order: {order}. Straight down, gently, until the tip rests in its well; hold 3 to 5 seconds; "
        "heat off or away, hold 10 seconds more until the head is cold; lift.",
        "A head that strings was lifted hot.",
    )
    yield Step(
        "Check each head: "
        + listed(f"{one.name} ⌀ {one.head.diameter:.1f}, {one.head.height:.1f} high" for one in plan.stakes)
        + ". Whole, round, no crack; the plate does not move.",
        "Too low and wide: too hot or too hard. A ring of gap: warm it again.",
    )


def _round(plan: CupPlan) -> list[Stake]:
    """The locator first, the slot's pin next, then the others."""
    order = {"locator": 0, "slot": 1}
    return sorted(plan.stakes, key=lambda one: order.get(one.role, 2))


def _fit(job: CupJob, plan: CupPlan) -> Iterator[Step]:
    if job.retention.by == "press":
        keep = "lugs" if plan.seat.press is not None and plan.seat.press.lugs else "lip"
        yield Step(
            f"Press the tweeter in, straight, with both thumbs on its flange, until the {keep} snaps over it.",
            "Never on the dome. It goes once; a second time the ribs hold less.",
        )
    elif job.retention.by == "flange":
        yield Step(
            f"Tweeter in; {len(plan.seat.screws)} screws by hand, crosswise, until the flange lies flat; no more."
        )
    else:
        yield Step(f"Tweeter in from the front; its {job.retention.by} on from behind, hand-tight.")
    way = f" through the notch at {clock_words(job.wire.at)}" if plan.wire is not None and job.wire is not None else ""
    yield Step(
        f"Cable{way}: + to the marked tag, on both sides alike. An adhesive pad holds it so that it cannot rattle.",
        "A tweeter needs its crossover or capacitor in the line, or the first bass note ends it.",
    )
    yield Step("Shake it: nothing rattles. Pull at the cup with two fingers: nothing moves. Panel back, battery on.")
    yield Step("Play it quietly first. Fill in the return sheet.")
    yield Step("After the first hot days: pull at it again.")


def _sleeve(job: SpacerJob, plan: SpacerPlan) -> Iterator[Step]:
    yield Step("Break the edge of the panel's opening with a file, no more than 0.3. Leave crush ribs as they are.")
    if plan.slit is not None and plan.slit.half is None:
        yield Step(
            f"Spring the slit over the cable, {plan.slit.width:.1f} wide, no wider. Slit towards "
            f"{clock_words(plan.slit.clock)}.",
            "Eye protection: printed plastic breaks sharp.",
        )
    elif plan.slit is not None:
        yield Step("Lay the two halves round the cable, edges together.")
    elif job.device.cable is not None:
        yield Step("Thread the cable through the sleeve before its plug is made off.")
    yield Step(
        f"Sleeve into the opening, straight, with the thumbs, until its "
        f"{'lip' if plan.lip else 'front'} lies on the face" + (" and the bump snaps behind it." if plan.bump else ".")
    )
    yield Step(
        "Device into the sleeve, straight"
        + (f", {job.recess:g} behind its front." if job.recess else ".")
        + (" It rests on the stop." if plan.stop else ""),
        "By hand. If it wants a hammer, take the sizes again.",
    )
    if job.device.cable is None:
        yield Step("Push and pull at the device ten times: neither it nor the sleeve moves.")
        yield Step("After the first hot days: pull at device and sleeve again. Fill in the return sheet.")
        return
    yield Step("Plug in and pull out ten times: neither sleeve nor device moves.")
    yield Step("Its supply has a fuse of its own at the source; the cable is held off edges and moving parts.")
    yield Step("After the first hot days: pull at plug and sleeve again. Fill in the return sheet.")
