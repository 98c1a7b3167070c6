"""Text for the screen on what goes in a place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf
from textwrap import wrap

from mounts.choosing.choices import Choices, Trial
from mounts.choosing.trial import TrialPlace
from mounts.kinds.speaker_kind import AvailableRoom
from mounts.load.models.job_kinds import SpeakerJob
from mounts.load.models.pins import PinPanel
from mounts.load.models.speaker import Speaker
from mounts.load.parse.units import format_clock

NAME, CELL = 29, 15  # columns
NONE = "–"
MARGIN = "margin: least distance to what was measured, less what is wanted; where it fails, by how much"


def fits_text(
    place: TrialPlace, rooms: Sequence[AvailableRoom], chosen: Choices, width: int, *, every: bool = False
) -> str:
    """Return the room and the speakers as text for the screen: how many go in, and each at its best tilt.

    Args:
        place: the panel.
        rooms: one a tilt.
        chosen: the speakers that were tried.
        width: columns of the screen.
        every: with every tilt of every speaker, and why some do not go in.
    """
    passing = [choice for choice in chosen.choices if choice.passes]
    lines = [
        f"{place.panel.name}: {len(passing)} of {len(chosen.choices)} speakers go in",
        *_head_lines(place, rooms, chosen),
        "",
        *_room_rows(place, rooms),
        *_no_room_lines(rooms),
        "",
        *_speaker_rows(chosen, width, every=every),
    ]
    lines += ["", MARGIN, *_reason_lines(chosen)] if every else [""]
    lines += list(_unread_lines(chosen)) if every else _not_measured(chosen)
    if passing:
        name = passing[0].speaker.name
        lines += [f"next     mounts new job my-job --panel {place.panel.name} --speaker {name}"]
    return "\n".join(line for text in lines for line in _wrap_line(text, width)) + "\n"


def _wrap_line(text: str, width: int) -> list[str]:
    """Return a text wrapped to a width, further lines indented."""
    return wrap(text, width, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False) or [""]


def _head_lines(place: TrialPlace, rooms: Sequence[AvailableRoom], chosen: Choices) -> Iterator[str]:
    """Yield lines on the panel, the tilts and what the mounts were planned with."""
    tilts = ", ".join(f"{room.tilt:g}" for room in rooms)
    yield f"tilts of {tilts} degrees towards {format_clock(place.toward)}, {place.why_there}"
    job = chosen.job
    if job is not None:
        fixed = f", {job.to_panel.hardware.name}" if job.to_panel else ""
        screws = f", {job.fix_speaker.hardware.name}" if job.fix_speaker else ""
        yield f"planned with {job.material.name}, {job.printer.name}{fixed}{screws}{_gasket(job)}"


def _gasket(job: SpeakerJob) -> str:
    """Return the words on the base gasket of a job."""
    if job.to_panel is None:  # staked, with no gasket under it
        return ""
    base = job.base_gasket
    return f", base gasket {base.width:g} wide" if base else ", no base gasket: the fixings leave it no room"


def _room_rows(place: TrialPlace, rooms: Sequence[AvailableRoom]) -> Iterator[str]:
    """Yield the rows of the room at each tilt."""
    yield _row("what goes in", [f"{room.tilt:g}°" for room in rooms])
    yield _row("seat above the face", [_figure(room.height) for room in rooms])
    pins = isinstance(place.panel, PinPanel)
    if not pins:
        yield _row("body through the opening", [_figure(room.body) for room in rooms])
    across = sorted({magnet for room in rooms for magnet, _ in room.depths})
    for magnet in across:
        found = [dict(room.depths).get(magnet) for room in rooms]
        what = "body" if pins else "magnet"
        yield _row(f"depth with a {what} of {magnet:g}", [f"{d[0]:g} {d[1]}" if d else NONE for d in found])
    if not pins:
        measured = _front_measured(place)
        wide = "any" if measured else "not measured"
        drawn = [room.height is not None for room in rooms]
        yield _row(
            "flange, to trim and grille",
            [(wide if r.flange is None else f"{r.flange:g}") if d else NONE for r, d in zip(rooms, drawn, strict=True)],
        )
        yield _row("front, with cone's travel", [_figure(room.front) for room in rooms])


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


def _row(name: str, cells: Sequence[str]) -> str:
    """Return a name and its cells as a line."""
    return name.ljust(NAME) + "  ".join(f"{_shorten(cell, CELL):{CELL}}" for cell in cells).rstrip()


def _figure(value: float | None) -> str:
    """Return a figure with one decimal; a dash for None."""
    return NONE if value is None else f"{value:.1f}"


def _speaker_rows(chosen: Choices, width: int, *, every: bool) -> Iterator[str]:
    """Yield a line for each speaker at its best tilt, or at every tilt, those that go in first."""
    if not chosen.choices:
        yield "no speaker of this sort is in the library: mounts new speaker"
        return
    yield _cells("speaker", "size", "tilt", "margin", "height", "", "what comes nearest")
    for choice in chosen.choices:
        name, across = choice.speaker.name, f"{speaker_size(choice.speaker):.0f}"
        why = {trial.why for trial in choice.trials}
        if len(why) == 1 and "" not in why:  # at no tilt, for one reason
            yield _cells(name, across, "any", NONE, NONE, "no", _shorten_note(why.pop(), width))
            continue
        for number, trial in enumerate(choice.trials if every else [max(choice.trials, key=_room_left)]):
            yield _trial_row(trial, "" if number else name, "" if number else across, width)


def _room_left(trial: Trial) -> float:
    """Return the margin of a trial, to find the best; least where none can be drawn."""
    if trial.margin is None:
        return -inf
    return inf if trial.margin.margin is None else trial.margin.margin


def _trial_row(trial: Trial, name: str, across: str, width: int) -> str:
    """Return the line of one trial."""
    found = trial.margin
    tilt = f"{trial.tilt:g}"
    if found is None:
        return _cells(name, across, tilt, NONE, NONE, "no", _shorten_note(trial.why, width))
    margin = NONE if found.margin is None else f"{found.margin:+.1f}"
    near = f"{found.between[0]} to {found.between[1]}" if found.between else "nothing round it was measured"
    return _cells(name, across, tilt, margin, f"{found.height:.1f}", str(found.verdict), _shorten_note(near, width))


def _cells(*cells: str) -> str:
    """Return seven cells as a line."""
    name, size, tilt, margin, height, verdict, near = cells
    return f"{name:23.23} {size:>4} {tilt:>4} {margin:>6} {height:>6}  {verdict:4}  {near}".rstrip()


def _shorten_note(text: str, width: int) -> str:
    """Return as much of a text as fits beside the figures; the JSON has all of it."""
    return _shorten(text, max(width - 55, 24))


def _shorten(text: str, width: int) -> str:
    """Return a text cut to a width."""
    return text if len(text) <= width else text[: width - 1].rstrip() + "…"


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
