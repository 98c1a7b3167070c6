"""Summary of `mounts aim` in about twenty lines: whether the clearances are kept, the ears, what more tilt would do,
and delays; `--all` prints the tables instead."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from mounts.aiming.kit import AimedKit, side_name
from mounts.aiming.tables import BED, find_twin, format_direction, format_height
from mounts.aiming.values import AimReport, SideAim, TiltRow
from mounts.checks.chosen_pose import SHOWN, describe_limit, steps_of
from mounts.design.choice import Choice
from mounts.design.listening import Arrival, frequency_text, listed_frequencies
from mounts.findings.report import PartReport, Report, Verdict
from mounts.findings.wording import value_with_limit
from mounts.lengths import Units
from mounts.load.parse.units import format_clock
from mounts.write.screen import Done, summary
from mounts.write.text_shaping import plain_text

if TYPE_CHECKING:
    from rich.text import Text

HELD = 2  # limits of a place that was found that are named
SEATS = 2  # whose delays are shown
ROWS = 12  # mounts of a kit that are shown
NAME = 33  # columns of a mount's name


def aim_screen(found: AimReport, name: str, written: tuple[str, Sequence[str]], width: int) -> Text:
    """Return a job's aim for the screen.

    Args:
        found: aim of one job.
        name: name of the job, as it was typed.
        written: folder and names of the pictures.
        width: columns of the screen.
    """
    report = Report(found.name, tuple(_part(side, side.job.part, ("panel", "speaker")) for side in found.sides))
    folder, names = written
    first = ", ".join(file for file in names if file.startswith(f"{found.sides[0].job.side}."))
    files = f"{len(names)} in {folder}/: open {first}" if names else ""
    steps = _steps(report, name)
    said = (*_sides(found), *_delays(found.arrivals))
    return summary(report, width, Done(files, steps, lead=_lead(report), said=said, every="every tilt and delay"))


def kit_screen(found: AimedKit, name: str, width: int) -> Text:
    """Return the aim of a kit's speakers for the screen.

    Args:
        found: aim of one kit.
        name: name of the kit, as it was typed.
        width: columns of the screen.
    """
    aimed = found.aimed
    parts = list(_kit_parts(aimed.sides))
    lost = [PartReport(mount, ()) for mount, _ in found.refused]
    report = Report(aimed.name, (*parts, *lost))
    said = [("LOST", f"{mount} cannot be drawn: {why}") for mount, why in found.refused]
    said += [
        ("held by", f"{side_name(side.job)}: {text}")
        for side in aimed.sides
        for text in _held(side.choice, side.job.units)
    ]
    said += [("silent", f"no speaker in {', '.join(found.silent)}")] if found.silent else []
    refused = (f"{len(lost)} more cannot be drawn",) if lost else ()
    done = Done(
        next=_steps(report, name, is_lost=bool(lost)),
        lead="; ".join((f"{len(aimed.sides)} speakers", *refused, _lead(report))),
        said=tuple(said),
        table=tuple(_kit_rows(aimed)),
        every="every delay",
    )
    return summary(report, width, done)


def _kit_parts(sides: Sequence[SideAim]) -> Iterator[PartReport]:
    """Yield the findings on a kit's mounts, those of sides that mirror each other under the job's name."""
    for _, group in groupby(sides, key=lambda side: side.job.name):
        for side, *twins in _mirrored(list(group)):
            files = (f"panel {side.job.panel.name}", f"speaker {side.job.speaker.name}")
            yield _part(side, side.job.name if twins else side_name(side.job), files)


def _part(side: SideAim, name: str, files: tuple[str, str]) -> PartReport:
    """Return the findings on one side's own tilt, and what was not measured for it.

    Args:
        side: aim of one side of a job.
        name: name in the report.
        files: whose file a reading of the panel and one of the speaker are written into.
    """
    missing = [*side.planned.kind.unread(side.job)]
    missing += [] if side.heard else ["panel.ears"]
    missing += [] if side.job.speaker.piston_diameter is not None else ["speaker.piston"]
    named = dict(zip(("panel", "speaker"), files, strict=True))
    paths = ((named.get(file, file), key) for file, _, key in (path.partition(".") for path in missing))
    return PartReport(name, side.findings, tuple(f"{file}.{key}" for file, key in paths), units=side.job.units)


def _lead(report: Report) -> str:
    """Return whether the clearances are kept, in words."""
    if any(part.verdict in (Verdict.WARN, Verdict.FAIL) for part in report.parts):
        return "the aim misses a clearance or a wall"
    known = "that were measured" if any(part.not_measured for part in report.parts) else "that the aim decides"
    return f"the clearances {known} are kept"


def _steps(report: Report, name: str, *, is_lost: bool = False) -> tuple[str, ...]:
    """Return what comes next."""
    if is_lost or report.verdict is Verdict.FAIL:
        return (f"change that, then: mounts aim {name}",)
    return (f"mounts build {name} (checks all the rest)",)


def _sides(found: AimReport) -> Iterator[tuple[str, str]]:
    """Yield the lines on every side, what is the same on all of them once; of one that mirrors another only that."""
    groups, rows = _mirrored(found.sides), dict[str, dict[str, list[str]]]()
    for side, *twins in groups:
        yield "aim", f"{side.job.side}: {format_direction(side)}, seat's centre {format_height(side)}"
        yield from (("", f"{twin.job.side}: its mirror image, {format_direction(twin)}") for twin in twins)
        for word, text in _of_side(side, found.speed):
            rows.setdefault(word, {}).setdefault(text, []).append(side.job.side)
    for word, texts in rows.items():
        for number, (text, names) in enumerate(texts.items()):
            yield "" if number else word, text if len(names) == len(groups) else f"{', '.join(names)}: {text}"


def _of_side(side: SideAim, speed: float) -> Iterator[tuple[str, str]]:
    """Yield what holds a place that was found, what it gives the ears, and what more tilt would do."""
    yield from (("held by", text) for text in _held(side.choice, side.job.units))
    yield from _ears(side)
    yield from _levels(side, speed)
    yield from _further(side)


def _mirrored(sides: Sequence[SideAim]) -> list[list[SideAim]]:
    """Return the sides in groups that mirror each other, in order."""
    groups: list[list[SideAim]] = []
    for side in sides:
        twins = next((group for group in groups if find_twin(side, group)), None)
        if twins is None:
            groups.append([side])
        else:
            twins.append(side)
    return groups


def _held(choice: Choice | None, units: Units) -> Iterator[str]:
    """Yield what holds a place that was found, by the limits that would bring most."""
    if choice is None:
        return
    if choice.misses:
        yield f"nothing fits: the best place misses {units.at_least(choice.misses)}"
    more = " of what is missing" if choice.misses else "" if choice.faced else " of height"
    for one in choice.active[:HELD]:
        if one.gives >= SHOWN:
            step, gains = steps_of(one, choice, units)
            yield f"{describe_limit(one)}; {step} more there gains {gains}{more}"


def _ears(side: SideAim) -> Iterator[tuple[str, str]]:
    """Yield how far off the axis every listener is."""
    for one in side.heard:
        text = (
            f"{one.listener.seat}: {one.angle:.1f}° off axis (flat {one.flat:.1f}°), {side.job.units(one.path, 0)} away"
        )
        if one.listener.is_estimated:
            text += f"; estimated from the seat: a short person {one.short:.1f}°, a tall one {one.tall:.1f}°"
        yield "ears", text


def _levels(side: SideAim, speed: float) -> Iterator[tuple[str, str]]:
    """Yield what the angle costs the first listener."""
    flat, now = side.lost
    if now:
        pairs = zip(now, listed_frequencies(side.job.speaker, speed), strict=True)
        lost = ", ".join(f"{value:.1f} at {frequency_text(f)}" for value, f in pairs)
        yield "lost dB", f"{lost} (flat {flat[-1]:.1f}), estimated"


def _further(side: SideAim) -> Iterator[tuple[str, str]]:
    """Yield the steepest tilt beyond the job's own that keeps every clearance, and what the next one misses."""
    beyond = [row for row in side.rows if row.tilt > side.seat.tilt and not row.is_chosen]
    kept = [row for row in beyond if _keeps(row)]
    if kept:
        best = kept[-1]
        where = f"{best.tilt:g}° at a height of {side.job.units(round(_height(best), 1))}"
        yield "steeper", f"{where} keeps every clearance{_ear(best)}"
    missed = next((row for row in beyond if not _keeps(row)), None)
    if missed is not None:
        yield "steeper", f"{missed.tilt:g}° {_why(missed, side.job.units)}"


def _keeps(row: TiltRow) -> bool:
    return row.height is not None and all(gap.verdict is Verdict.PASS for _, gap in row.gaps)


def _height(row: TiltRow) -> float:
    assert row.height is not None
    return row.height


def _ear(row: TiltRow) -> str:
    return f", ear {row.heard[0].angle:.1f}° off axis" if row.heard else ""


def _why(row: TiltRow, units: Units) -> str:
    """Return what a tilt misses, in words."""
    if row.refused:
        return f"cannot be drawn: {row.refused}"
    missed = [gap.finding() for word, gap in row.gaps if gap.verdict is not Verdict.PASS and word != BED]
    said = [f"{one.what}: {value_with_limit(one, units)}" for one in missed] or ["the printer's bed"]
    return f"misses {'; '.join(said)}"


def _delays(arrivals: Sequence[Arrival]) -> Iterator[tuple[str, str]]:
    """Yield by how much the nearer speakers are held back, for one seat or another."""
    seats = [
        f"for the {seat} {' and '.join(f'{one.path.mount} {one.delay_ms:.3f} ms' for one in here if one.delay_ms > 0)}"
        for seat, here in _by_seat(arrivals).items()
    ]
    if seats:
        yield "delay", ", or ".join(seats)


def _by_seat(arrivals: Iterable[Arrival]) -> dict[str, list[Arrival]]:
    """Return the arrivals at each seat where there is more than one, the furthest first."""
    seats: dict[str, list[Arrival]] = {}
    for one in sorted(arrivals, key=lambda one: (one.path.seat, -one.path.length)):
        seats.setdefault(one.path.seat, []).append(one)
    return {seat: here for seat, here in seats.items() if len(here) > 1}


def _kit_rows(aimed: AimReport) -> Iterator[str]:
    """Yield a row for every speaker: its tilt, its first listener, and its delay for the first seats."""
    seats = dict([*_by_seat(aimed.arrivals).items()][:SEATS])
    delays = {(seat, one.path.mount): one.delay_ms for seat, here in seats.items() for one in here}
    yield _kit_row("", ("tilt", "to", "ear", "dB", *("delay ms" for _ in seats)))
    for side in aimed.sides[:ROWS]:
        seat, name = side.seat, side_name(side.job)
        ear = f"{side.heard[0].angle:.1f}°" if side.heard else "–"
        level = f"−{side.lost[1][-1]:.1f}" if side.lost[1] else "–"
        held = (delays.get((one, name)) for one in seats)
        cells = ("–" if one is None else f"{one:.3f}" for one in held)
        toward = format_clock(seat.toward) if seat.tilt else "–"
        yield _kit_row(plain_text(name), (f"{seat.tilt:.3g}°", toward, ear, level, *cells))
    if len(aimed.sides) > ROWS:
        yield f"and {len(aimed.sides) - ROWS} more: --all shows them"
    if seats:
        yield f"delay for the {', then the '.join(map(plain_text, seats))}; dB: lost off the axis, estimated"


def _kit_row(name: str, cells: Sequence[str]) -> str:
    widths = (6, 6, 7, 6, *(10 for _ in cells[4:]))
    return f"{name:{NAME}}{''.join(f'{cell:>{width}}' for cell, width in zip(cells, widths, strict=True))}".rstrip()
