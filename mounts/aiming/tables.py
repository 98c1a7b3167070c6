"""Tables of `mounts aim`, on a screen: the choice, the tilts, the tuner's settings, and how far to trust them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from mounts.aiming.values import AimReport, SideAim
from mounts.checks.chosen_pose import READINGS, describe_limit, steps_of
from mounts.design.choice import Active, Choice
from mounts.design.listening import RATES_HZ, Arrival, frequency_text, held_between, listed_frequencies
from mounts.findings.gap import Gap
from mounts.findings.report import Verdict
from mounts.lengths import Units
from mounts.load.models.speaker import Speaker
from mounts.load.parse.units import format_clock
from mounts.write.text_shaping import plain_text

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

TOGETHER = "Delay each by so much and all arrive with the furthest, at one seat only; dB: louder there by distance."
BEGINS = "The path begins at the seat's centre on the speaker's axis; ears are the middle of the head."
ESTIMATED = "Estimated ears: UN R46 eye height by torso angle, ANSUR II for ears and spread. A tape is surer."
BED = "bed"  # a clearance that is shown in words, and only where it is missed
MARKS = {Verdict.PASS: "", Verdict.DO: "", Verdict.WARN: "!", Verdict.FAIL: "!!"}
NO_EARS = (
    "Nobody's ears are known: write ears into the panel's file (tape), or seats, from which they are estimated. Until "
    "then there is no angle, no level and no delay."
)
NO_PISTON = "The speaker's file has neither piston nor sd: without an effective diameter no level can be given."


def aim_table(found: AimReport) -> RenderableType:
    """Return everything for the screen, 80 columns; no text is markup."""
    from rich.console import Group
    from rich.text import Text

    lines: list[RenderableType] = []
    told: list[SideAim] = []
    for side in found.sides:
        lines.append(Text(f"{plain_text(found.name)}, {side.job.side}", "bold"))
        twin = find_twin(side, told)
        if twin is not None:
            lines += [Text(f"the {twin.job.side} side's mirror image, {format_direction(side)}: the same figures"), ""]
            continue
        lines += [*map(Text, _choice(side, found.speed)), "", _tilts(side, found.speed)]
        lines += [*(Text(line, "dim") for line in _beneath(side)), ""]
        told.append(side)
    if found.arrivals:
        lines += [Text(f"for the tuner, at {found.temperature:g} °C ({found.speed:.1f} m/s)", "bold"), _tuner(found)]
        lines += [Text(line, "dim") for line in _trust(found)]
    else:
        lines.append(Text(NO_EARS))
    return Group(*lines)


def find_twin(side: SideAim, others: Sequence[SideAim]) -> SideAim | None:
    """Return the first of some sides that a side mirrors; None where there is none."""
    return next((other for other in others if _figures(other) == _figures(side)), None)


def _figures(side: SideAim) -> tuple[object, ...]:
    """Return what would be shown of a side but for its hand."""
    rows = [(row.tilt, format_number(row.height), *((w, f"{g.gap:.1f}") for w, g in row.gaps)) for row in side.rows]
    return (*rows, *(f"{one.angle:.1f} {one.flat:.1f} {one.path:.0f}" for one in side.heard))


def format_direction(side: SideAim) -> str:
    """Return which way the speaker looks."""
    seat = side.seat
    return f"tilt {seat.tilt:.3g}° towards {format_clock(seat.toward)}" if seat.tilt else "flat on the face"


def _choice(side: SideAim, speed: float) -> Iterator[str]:
    speaker = side.job.speaker
    yield f"{format_direction(side)}, seat's centre {format_height(side)}"
    if side.choice is not None:
        yield from choice_lines(side.choice, side.job.units)
    for one in side.heard:
        by = "ears ESTIMATED from the seat" if one.listener.is_estimated else "ears read"
        yield (
            f"{one.listener.seat}: {one.angle:.1f}° off axis (flat {one.flat:.1f}°), "
            f"{side.job.units.named(one.path, 0)}, {by}"
        )
        if one.listener.is_estimated:
            yield f"  a short person {one.short:.1f}°, a tall one {one.tall:.1f}° (5th and 95th of 100)"
    if side.heard and speaker.piston_diameter is None:
        yield NO_PISTON
    if side.lost[0]:
        flat, now = (", ".join(f"{value:.1f}" for value in losses) for losses in side.lost)
        frequencies = ", ".join(frequency_text(f) for f in listed_frequencies(speaker, speed))
        yield f"lost at the {side.heard[0].listener.seat}, at {frequencies}: {now} dB (flat {flat})"


def choice_lines(choice: Choice, units: Units) -> Iterator[str]:
    """Yield what was found, what holds it there, and what one more of each would bring."""
    if choice.angle is None:
        yield "height found: as near to the grille as the room allows"
    else:
        shares = "; ".join(f"{one.listener.seat} {one.angle:.1f}°" for one in choice.faced)
        yield f"found: {shares}, with room for the readings' uncertainty at {100 * choice.sure:g} %"
    if choice.misses:
        yield f"nothing fits: the best place misses {units.at_least(choice.misses)}"
    for one in choice.active:
        spare = f" and {units(one.spare, 1)} for the reading" if one.spare > 0 else ""
        step, gains = steps_of(one, choice, units)
        gains = f"{gains}{' of height' if choice.angle is None else ''}"
        gap = f"{one.gap:.1f}°" if one.unit == "deg" else units.named(one.gap, 1)
        needs = f"{gap}; it needs {units(one.limit)}{spare}; " if one.limit else ""
        yield f"  held by {describe_limit(one)}: {needs}{step} more{_of(one)} gains {gains}"


def _of(one: Active) -> str:
    """Return where more of a limit is given that is no clearance."""
    return f" of {READINGS[one.reading]}" if not one.limit and one.reading in READINGS else ""


def format_height(side: SideAim) -> str:
    """Return how high the seat's centre is."""
    z = side.seat.frame.origin[2]
    units = side.job.units
    return f"{units(z, 1)} above the face" if z >= 0 else f"{units(-z, 1)} behind the panel"


def _tilts(side: SideAim, speed: float) -> Table:
    from rich.table import Table
    from rich.text import Text

    words = [word for word in dict.fromkeys(word for row in side.rows for word, _ in row.gaps) if word != BED]
    loss = listed_frequencies(side.job.speaker, speed)[1:] if side.lost[0] else ()
    table = Table(box=None, padding=(0, 1, 0, 0), header_style="bold")
    for head in ("", "tilt", "height", *words, *(["ear"] if side.heard else []), *(frequency_text(f) for f in loss)):
        table.add_column(head.replace(" kHz", "k"), justify="right", no_wrap=True)
    units = side.job.units
    limits = {word: gap.wanted for row in side.rows for word, gap in row.gaps}
    table.add_row("", "", f"limit{units.sign}", *(f"{limits[word] / units.scale:.3g}" for word in words), style="dim")
    for row in side.rows:
        cells = (_cell(dict(row.gaps).get(word), units) for word in words)
        ear = [f"{row.heard[0].angle:.1f}°"] if row.heard else ["–"] * bool(side.heard)
        levels = [f"−{value:.1f}" for value in row.lost[1:]] or ["–"] * len(loss)
        told = [
            "→" if row.is_chosen else "",
            f"{row.tilt:.3g}°",
            format_number(row.height, units),
            *cells,
            *ear,
            *levels,
        ]
        table.add_row(*(Text(cell) for cell in told), style="bold" if row.is_chosen else "")
    return table


def format_number(value: float | None, units: Units = Units.MM) -> str:
    """Return a number with a tenth, with a true minus; a dash for none."""
    return "–" if value is None else units.cell(value).replace("-", "−")


def _cell(gap: Gap | None, units: Units) -> str:
    return "–" if gap is None else format_number(gap.gap, units) + MARKS[gap.verdict]


def _beneath(side: SideAim) -> Iterator[str]:
    """Yield what the marks mean, where there are any, and why a row has no part."""
    marks = {MARKS[gap.verdict] for row in side.rows for word, gap in row.gaps if word != BED}
    if "!!" in marks:
        yield "!! breaks its limit"
    if "!" in marks:
        yield "! nearer than is wanted"
    for row in side.rows:
        if row.refused:
            yield f"{row.tilt:g}° cannot be drawn: {row.refused}"
        if off := dict(row.gaps).get(BED):
            yield f"{row.tilt:.3g}° is {side.job.units(-off.gap, 1)} too large for {plain_text(str(off.between[1]))}"
    heights = {row.height for row in side.rows if row.height is not None}
    if len(heights) > 1:
        yield "Height: the job's own where the tilt allows it, else the nearest that it needs."


def _tuner(found: AimReport) -> Table:
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, padding=(0, 1, 0, 0), header_style="bold")
    table.add_column("seat")
    table.add_column("speaker")
    for head in arrival_heads(found.sides[0].job.units):
        table.add_column(head, justify="right", no_wrap=True)
    for one in sorted(found.arrivals, key=lambda one: (one.path.seat, -one.path.length)):
        table.add_row(
            *(Text(plain_text(word)) for word in (one.path.seat, one.path.mount)),
            *arrival_cells(one, found.sides[0].job.units),
        )
    return table


def arrival_heads(units: Units) -> tuple[str, ...]:
    """Return the heads of the columns that `arrival_cells` yields."""
    return (units.word, "ms", f"ahead {units.word}", "delay ms", *(f"{rate / 1000:.0f}k" for rate in RATES_HZ), "dB")


def arrival_cells(one: Arrival, units: Units) -> Iterator[str]:
    """Yield the path, times, samples and level of one speaker at one seat, as `arrival_heads` names them."""
    yield from (units.cell(one.path.length, 0), f"{one.time_ms:.3f}", units.cell(one.ahead, 0), f"{one.delay_ms:.3f}")
    yield from (str(count) for count in one.samples)
    yield _louder(one.louder_db)


def _louder(level: float) -> str:
    return "0.0" if level < 0.05 else f"+{level:.1f}"


def _trust(found: AimReport) -> Iterator[str]:
    """Yield how far these figures go."""
    yield from (TOGETHER, BEGINS)
    speakers: dict[str, Speaker] = {side.job.speaker.name: side.job.speaker for side in found.sides}
    for speaker in speakers.values():
        if speaker.piston_diameter is not None:
            low, high = held_between(speaker.piston_diameter, found.speed)
            yield (
                "Levels: an estimate, a rigid piston of "
                f"{found.sides[0].job.units.named(speaker.piston_diameter, 0)} in "
                "an endless flat baffle, "
                f"which a door is not."
            )
            yield (
                f"Below about {frequency_text(round(low, -1))} (ka 1) aim hardly matters; "
                f"above {frequency_text(round(high, -1))} (ka 3) {speaker.type}s break up."
            )
        if not speaker.plays:
            usual = frequency_text(speaker.band[1])
            yield f"{plain_text(speaker.name)} does not say what it plays; {usual} is usual for its type."
    if any(one.listener.is_estimated for side in found.sides for one in side.heard):
        yield ESTIMATED
