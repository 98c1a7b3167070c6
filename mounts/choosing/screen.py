"""Text for the screen on what goes in a place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest
from math import inf
from textwrap import wrap

from mounts.choosing.choices import Choices, TiltTrial
from mounts.choosing.trial import TrialPlace
from mounts.findings.wording import number
from mounts.geometry.ties import most_of
from mounts.kinds.speaker_kind import AvailableRoom
from mounts.lengths import EXTRA, Units
from mounts.load.models.pins import PinPanel
from mounts.load.models.speaker import Speaker
from mounts.load.models.speaker_job import SpeakerJob
from mounts.load.parse.units import format_clock

NAME, CELL, LEAST = 32, 14, 24  # columns: of a room's name and cell, and of a note at least
NONE = "–"
SHOWN, FAILING = 8, 2  # speakers that are shown where not every one is, and how many at least that do not go in
ROOM = "room: beyond the clearance that is wanted, or short of it, at what comes nearest of all that was measured"


def fits_text(
    place: TrialPlace, rooms: Sequence[AvailableRoom], chosen: Choices, width: int, units: Units, *, every: bool = False
) -> str:
    """Return the room and the speakers as text for the screen: how many go in, and each at its best tilt.

    Args:
        place: the panel.
        rooms: one a tilt.
        chosen: the speakers that were tried.
        width: columns of the screen.
        units: in which lengths are written.
        every: with every tilt of every speaker, and why some do not go in.
    """
    passing = [choice for choice in chosen.choices if choice.passes]
    lines = [
        f"{place.panel.name}: {len(passing)} of {len(chosen.choices)} speakers go in",
        *_head_lines(place, rooms, chosen, units),
        "",
        *_room_rows(place, rooms, units),
        *_no_room_lines(rooms),
        "",
        *_speaker_rows(chosen, units, width, every=every),
    ]
    lines += ["", ROOM, *_reason_lines(chosen)] if every else [""]
    lines += list(_unread_lines(chosen)) if every else _not_measured(chosen)
    if passing:
        name = passing[0].speaker.name
        lines += [f"next     mounts start {place.panel.name} {name}"]
    return "\n".join(line for text in lines for line in _wrap_line(text, width)) + "\n"


def _wrap_line(text: str, width: int, indent: int = 2) -> list[str]:
    """Return a text wrapped to a width, further lines indented where they then have room."""
    further = " " * (indent if width - indent >= LEAST else 2)
    return wrap(text, width, subsequent_indent=further, break_long_words=False, break_on_hyphens=False) or [""]


def _head_lines(place: TrialPlace, rooms: Sequence[AvailableRoom], chosen: Choices, units: Units) -> Iterator[str]:
    """Yield lines on the panel, the tilts and what the mounts were planned with."""
    tilts = ", ".join(f"{room.tilt:g}" for room in rooms)
    yield f"tilts of {tilts} degrees towards {format_clock(place.toward)}, {place.why_there}"
    job = chosen.job
    if job is not None:
        fixed = f", {job.to_panel.hardware.name}" if job.to_panel else ""
        screws = f", {job.fix_speaker.hardware.name}" if job.fix_speaker else ""
        yield f"planned with {job.material.name}, {job.printer.name}{fixed}{screws}{_gasket(job, units)}"


def _gasket(job: SpeakerJob, units: Units) -> str:
    """Return the words on the base gasket of a job."""
    if job.to_panel is None:  # staked, with no gasket under it
        return ""
    base = job.base_gasket
    return f", base gasket {units(base.width)} wide" if base else ""


def _room_rows(place: TrialPlace, rooms: Sequence[AvailableRoom], units: Units) -> Iterator[str]:
    """Yield the rows of the room at each tilt."""
    yield from _row("what goes in", [f"{room.tilt:g}°" for room in rooms])
    yield from _row(
        f"seat above the face{units.sign and ','}{units.sign}", [_figure(room.height, units) for room in rooms]
    )
    pins = isinstance(place.panel, PinPanel)
    if not pins:
        yield from _row(
            f"body through the opening{units.sign and ','}{units.sign}", [_figure(room.body, units) for room in rooms]
        )
    across = sorted({magnet for room in rooms for magnet, _ in room.depths})
    for magnet in across:
        found = [dict(room.depths).get(magnet) for room in rooms]
        what = "body" if pins else "magnet"
        yield from _row(
            f"depth with a {what} of {units.figure(magnet)}{units.sign}",
            [f"{units.figure(d[0])} {d[1]}" if d else NONE for d in found],
        )
    if not pins:
        measured = _front_measured(place)
        wide = "any" if measured else "not measured"
        drawn = [room.height is not None for room in rooms]
        yield from _row(
            f"flange, to trim and grille{units.sign and ','}{units.sign}",
            [
                (wide if r.flange is None else units.figure(r.flange)) if d else NONE
                for r, d in zip(rooms, drawn, strict=True)
            ],
        )
        yield from _row(
            f"front, with cone's travel{units.sign and ','}{units.sign}", [_figure(room.front, units) for room in rooms]
        )


def _no_room_lines(rooms: Sequence[AvailableRoom]) -> Iterator[str]:
    """Yield lines on why no mount at all can be drawn at some tilts."""
    alike: dict[str, list[str]] = {}
    for room in rooms:
        if room.height is None:
            alike.setdefault(room.why, []).append(f"{room.tilt:g}°")
    for why, tilts in alike.items():
        yield f"at {', '.join(tilts)} no mount can be drawn: {why}"


def _front_measured(place: TrialPlace) -> bool:
    """Return whether something in front of the panel was measured."""
    return not isinstance(place.panel, PinPanel) and place.panel.in_front is not None


def _row(name: str, cells: Sequence[str]) -> Iterator[str]:
    """Yield a name and its cells as lines, each cell wrapped to its column."""
    columns = [wrap(cell, CELL) for cell in cells]
    for count, words in enumerate(zip_longest(*columns, fillvalue="")):
        yield ("" if count else name).ljust(NAME) + "  ".join(f"{word:{CELL}}" for word in words).rstrip()


def _figure(value: float | None, units: Units) -> str:
    """Return a figure with one decimal; a dash for None."""
    return NONE if value is None else units.cell(value)


def _speaker_rows(chosen: Choices, units: Units, width: int, *, every: bool) -> Iterator[str]:
    """Yield lines on each speaker at its best tilt, those that go in first; on every one at every tilt if asked for."""
    if not chosen.choices:
        yield "no speaker of this sort is in the library: mounts new speaker"
        return
    passing = sum(choice.passes for choice in chosen.choices)
    most = len(chosen.choices) if every else min(passing, SHOWN) + max(SHOWN - 3 - passing, FAILING)
    left_out = chosen.choices[SHOWN:passing] if not every else ()
    shown = [choice for choice in chosen.choices if choice not in left_out][:most]
    wide = max(len(choice.speaker.name) for choice in shown)
    rows: list[tuple[str, ...]] = [("speaker", f"size{units.sign}", "tilt", "room", "height", "", "what comes nearest")]
    for choice in shown:
        name, across = choice.speaker.name, units.figure(speaker_size(choice.speaker), 0)
        why = {trial.why for trial in choice.trials}
        if len(why) == 1 and "" not in why:  # at no tilt, for one reason
            rows.append((name, across, "any", NONE, NONE, "no", _reason(why.pop())))
            continue
        for count, trial in enumerate(choice.trials if every else [most_of(choice.trials, _room_left)]):
            rows.append(_trial_row(trial, "" if count else name, "" if count else across, units))
    for name, *cells, note in rows:
        size, tilt, room, height, verdict = cells
        lead = f"{name:{wide}} {size:>4} {tilt:>4}  {room:11} {height:>6}  {verdict:4}  "
        yield from _wrap_line(f"{lead}{note}", width, len(lead))
    if len(shown) < len(chosen.choices):
        yield f"and {len(chosen.choices) - len(shown)} more: --all shows them"


def _room_left(trial: TiltTrial) -> float:
    """Return the margin of a trial, to find the best; least where none can be drawn."""
    if trial.margin is None:
        return -inf
    return inf if trial.margin.margin is None else trial.margin.margin


def _trial_row(trial: TiltTrial, name: str, across: str, units: Units) -> tuple[str, ...]:
    """Return the cells of one trial."""
    found = trial.margin
    tilt = f"{trial.tilt:g}"
    if found is None:
        return (name, across, tilt, NONE, NONE, "no", _reason(trial.why))
    room = NONE
    if found.margin is not None:
        figure = number(abs(found.margin) / units.scale, 1 + EXTRA * bool(units.sign))
        room = f"short {figure}" if found.margin < 0 else f"+{figure}"
    near = f"{found.between[0]} to {found.between[1]}" if found.between else "nothing round it was measured"
    near += f"; with {trial.change.words}" if trial.change and next(iter(trial.change.lines)) != "height" else ""
    return (name, across, tilt, room, units.cell(found.height), str(found.verdict), near)


def _reason(why: str) -> str:
    """Return why a mount cannot be drawn, without what would help; `--all` and the JSON say that too."""
    return why.partition(": ")[0].partition(" and needs ")[0]


def _reason_lines(chosen: Choices) -> Iterator[str]:
    """Yield in full why some speakers cannot be drawn, the first reason of each."""
    for choice in chosen.choices:
        found = next((trial for trial in choice.trials if trial.why), None)
        if found:
            yield f"no: {choice.speaker.name} at {found.tilt:g}°: {found.why}"


def speaker_size(speaker: Speaker) -> float:
    """Return the size that a speaker is sold as, mm: its nominal size, else its flange's width."""
    return speaker.nominal or speaker.flange.across


def _not_measured(chosen: Choices) -> Iterator[str]:
    """Yield what was not measured on the panel."""
    if chosen.unread:
        names = ", ".join(path.removeprefix("panel.") for path in chosen.unread)
        yield f"UNKNOWN  not measured on the panel: {names}"


def _unread_lines(chosen: Choices) -> Iterator[str]:
    """Yield lines on missing readings and on speakers that were not tried."""
    yield from _not_measured(chosen)
    alike: dict[tuple[str, ...], list[str]] = {}
    for choice in chosen.choices:
        if choice.unread:
            alike.setdefault(choice.unread, []).append(choice.speaker.name)
    for paths, names_ in alike.items():
        names = ", ".join(path.removeprefix("speaker.") for path in paths)
        yield f"NOT MEASURED of {', '.join(names_)}: {names}"
    if chosen.left_out:
        yield f"not tried, being of the other sort: {', '.join(chosen.left_out)}"
    if chosen.broken:
        yield f"not tried, since they do not load: {', '.join(chosen.broken)} (mounts list speaker --check)"
