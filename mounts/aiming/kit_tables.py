"""Output of `mounts aim` for a kit, on a screen: every speaker's aim in a line, then paths and delays, seat by seat."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from mounts.aiming.kit import AimedKit, side_name
from mounts.aiming.tables import (
    BEGINS,
    ESTIMATED,
    MARKS,
    NO_EARS,
    TOGETHER,
    arrival_cells,
    arrival_heads,
    format_number,
)
from mounts.aiming.values import AimReport, SideAim
from mounts.checks.chosen_pose import describe_limit, steps_of
from mounts.design.choice import Choice
from mounts.design.listening import Arrival, frequency_text, held_between
from mounts.geometry.ties import least_of
from mounts.lengths import Units
from mounts.load.parse.units import format_clock
from mounts.write.text_shaping import plain_text

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

MOUNTS = ("mount", "tilt", "towards", "height", "ear", "flat", "dB", "tightest")


def kit_table(found: AimedKit) -> RenderableType:
    """Return the everything for the screen, 80 columns where names are short; no text is markup."""
    from rich.console import Group
    from rich.text import Text

    aimed = found.aimed
    lines: list[RenderableType] = [Text(plain_text(aimed.name), "bold"), _mounts(aimed)]
    lines += [Text(line, "dim") for line in _beneath(found)]
    lines += [Text(f"{plain_text(mount)} cannot be drawn: {plain_text(why)}") for mount, why in found.refused]
    for seat in sorted({one.path.seat for one in aimed.arrivals}):
        at = f"for the tuner, heard at the {seat}, at {aimed.temperature:g} °C ({aimed.speed:.1f} m/s)"
        here = [one for one in aimed.arrivals if one.path.seat == seat]
        lines += ["", Text(plain_text(at), "bold"), _arrivals(here, aimed.sides[0].job.units)]
    lines += ["", *(Text(line, "dim") for line in _trust(aimed))] if aimed.arrivals else ["", Text(NO_EARS)]
    return Group(*lines)


def _table(heads: tuple[str, ...], left: tuple[str, ...]) -> Table:
    from rich.table import Table

    table = Table(box=None, padding=(0, 1, 0, 0), header_style="bold")
    for head in heads:
        table.add_column(head, justify="left" if head in left else "right", overflow="fold")
    return table


def _mounts(aimed: AimReport) -> Table:
    from rich.text import Text

    table = _table(MOUNTS, ("mount", "towards", "tightest"))
    for side in aimed.sides:
        table.add_row(*map(Text, _cells(side)))
    return table


def _cells(side: SideAim) -> Iterator[str]:
    """Yield one mount: how it looks, what its first listener hears of it, and its tightest clearance."""
    seat = side.seat
    yield plain_text(side_name(side.job))
    yield from (
        f"{seat.tilt:.3g}°",
        format_clock(seat.toward) if seat.tilt else "–",
        format_number(seat.frame.origin[2], side.job.units),
    )
    yield from (f"{side.heard[0].angle:.1f}°", f"{side.heard[0].flat:.1f}°") if side.heard else ("–", "–")
    yield f"−{side.lost[1][-1]:.1f}" if side.lost[1] else "–"
    gaps = side.rows[0].gaps
    word, gap = least_of(gaps, lambda told: told[1].gap - told[1].wanted) if gaps else ("–", None)
    yield f"{word} {format_number(gap.gap, side.job.units)}{MARKS[gap.verdict]}" if gap else word


def _arrivals(here: list[Arrival], units: Units) -> Table:
    from rich.text import Text

    table = _table(("mount", *arrival_heads(units)), ("mount",))
    for one in sorted(here, key=lambda one: -one.path.length):
        table.add_row(Text(plain_text(one.path.mount)), *arrival_cells(one, units))
    return table


def _beneath(found: AimedKit) -> Iterator[str]:
    """Yield what the columns and marks mean, what holds those that were found, and what of the kit is in no table."""
    sides = found.aimed.sides
    yield (
        "ear: off the axis at the panel's own seat; flat: the same without tilt; dB: what that loses at the highest "
        "frequency that the speaker plays whole; tightest: the clearance that is nearest to its limit."
    )
    marks = {MARKS[gap.verdict] for side in sides for _, gap in side.rows[0].gaps}
    if "!!" in marks:
        yield "!! breaks its limit"
    if "!" in marks:
        yield "! nearer than is wanted"
    for side in sides:
        if side.choice is not None:
            yield f"{plain_text(side_name(side.job))} was found{_held(side.choice, side.job.units)}"
    deaf = [side_name(side.job) for side in sides if not side.heard]
    if deaf and found.aimed.arrivals:
        yield f"Nobody's ears are known for {plain_text(', '.join(deaf))}: without them there are no delays."
    if found.silent:
        yield f"No speaker in {plain_text(', '.join(found.silent))}."


def _held(choice: Choice, units: Units) -> str:
    """Return what holds a place that was found, by the limit that would bring most."""
    if choice.misses:
        return f"; nothing fits: the best place misses {units.at_least(choice.misses)}"
    if not choice.active:
        return ""
    first = choice.active[0]
    more, gains = steps_of(first, choice, units)
    return f", held by {describe_limit(first)}: {more} more there gains {gains}{'' if choice.faced else ' of height'}"


def _trust(aimed: AimReport) -> Iterator[str]:
    """Yield how far these figures go."""
    yield from (TOGETHER, BEGINS)
    speakers = {side.job.speaker.name: side.job.speaker for side in aimed.sides}
    spans = []
    for speaker in speakers.values():
        if speaker.piston_diameter is not None:
            low, high = held_between(speaker.piston_diameter, aimed.speed)
            spans.append(
                f"{plain_text(speaker.name)} {frequency_text(round(low, -1))} to {frequency_text(round(high, -1))}"
            )
    if spans:
        yield (
            "Levels: an estimate, of rigid pistons in an endless flat baffle, which a door is not; below ka 1 aim "
            f"hardly matters, above ka 3 cones and domes break up: {', '.join(spans)}."
        )
    if any(one.listener.is_estimated for side in aimed.sides for one in side.heard):
        yield ESTIMATED
