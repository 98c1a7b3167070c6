"""What goes in a place, on one screen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap

from mounts.choosing.choices import Chosen, Trial
from mounts.choosing.trial import Place
from mounts.kinds.room import SpeakerRoom
from mounts.load.models.pins import PinPanel
from mounts.load.models.resolved import RingJob, SpeakerJob
from mounts.load.models.speaker import Speaker
from mounts.load.units import clock_words

NAME, CELL = 29, 15  # columns
NONE = "–"
MARGIN = "margin: least distance to what was measured, less what is wanted; where it fails, by how much"


def fits_text(place: Place, rooms: Sequence[SpeakerRoom], chosen: Chosen, width: int) -> str:
    """The room and the speakers for the screen.

    Args:
        place: the panel.
        rooms: one a tilt.
        chosen: the speakers that were tried.
        width: columns of the screen.
    """
    lines = [*_head(place, rooms, chosen), "", *_room_rows(place, rooms), *_no_room(rooms), "", *_rows(chosen, width)]
    lines += ["", MARGIN, *_why_not(chosen), *_unread(chosen)]
    passing = [choice for choice in chosen.choices if choice.passes]
    if passing:
        lines += [
            "",
            "next: mounts new job, with one of these; mounts check then measures all of it, on the finished mesh",
        ]
    return "\n".join(line for text in lines for line in _wrapped(text, width)) + "\n"


def _wrapped(text: str, width: int) -> list[str]:
    return wrap(text, width, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False) or [""]


def _head(place: Place, rooms: Sequence[SpeakerRoom], chosen: Chosen) -> Iterator[str]:
    panel = place.panel
    yield f"{panel.name}  {panel.about}".rstrip()
    tilts = ", ".join(f"{room.tilt:g}" for room in rooms)
    yield f"tilts of {tilts} degrees towards {clock_words(place.toward)}, {place.why_there}"
    job = chosen.job
    if job is not None:
        fixed = f", {job.fix_to_panel.hardware.name}" if isinstance(job, RingJob) else ""
        screws = f", {job.fix_speaker.hardware.name}" if job.fix_speaker else ""
        yield f"planned with {job.material.name}, {job.printer.name}{fixed}{screws}{_gasket(job)}"


def _gasket(job: SpeakerJob) -> str:
    if not isinstance(job, RingJob):
        return ""
    base = job.gaskets.base
    return f", base gasket {base.width:g} wide" if base else ", no base gasket: the fixings leave it no room"


def _room_rows(place: Place, rooms: Sequence[SpeakerRoom]) -> Iterator[str]:
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


def _no_room(rooms: Sequence[SpeakerRoom]) -> Iterator[str]:
    """Why no mount at all can be drawn at some tilts."""
    alike: dict[str, list[str]] = {}
    for room in rooms:
        if room.height is None:
            alike.setdefault(room.why, []).append(f"{room.tilt:g}°")
    for why, tilts in alike.items():
        yield f"at {', '.join(tilts)} no mount can be drawn: {why}"


def _front_measured(place: Place) -> bool:
    return not isinstance(place.panel, PinPanel) and place.panel.in_front is not None


def _row(name: str, cells: Sequence[str]) -> str:
    return name.ljust(NAME) + "  ".join(f"{_cut(cell, CELL):{CELL}}" for cell in cells).rstrip()


def _figure(value: float | None) -> str:
    return NONE if value is None else f"{value:.1f}"


def _rows(chosen: Chosen, width: int) -> Iterator[str]:
    """A line for each speaker and tilt, those that go in first."""
    if not chosen.choices:
        yield "no speaker of this sort is in the library: mounts new speaker"
        return
    yield _cells("speaker", "size", "tilt", "margin", "height", "", "what comes nearest")
    for choice in chosen.choices:
        name, across = choice.speaker.name, f"{size_of(choice.speaker):.0f}"
        why = {trial.why for trial in choice.trials}
        if len(why) == 1 and "" not in why:  # at no tilt, for one reason
            yield _cells(name, across, "any", NONE, NONE, "no", _short(why.pop(), width))
            continue
        for number, trial in enumerate(choice.trials):
            yield _trial(trial, "" if number else name, "" if number else across, width)


def _trial(trial: Trial, name: str, across: str, width: int) -> str:
    found = trial.margin
    tilt = f"{trial.tilt:g}"
    if found is None:
        return _cells(name, across, tilt, NONE, NONE, "no", _short(trial.why, width))
    margin = NONE if found.margin is None else f"{found.margin:+.1f}"
    near = f"{found.between[0]} to {found.between[1]}" if found.between else "nothing round it was measured"
    return _cells(name, across, tilt, margin, f"{found.height:.1f}", str(found.verdict), _short(near, width))


def _cells(*cells: str) -> str:
    name, size, tilt, margin, height, verdict, near = cells
    return f"{name:23.23} {size:>4} {tilt:>4} {margin:>6} {height:>6}  {verdict:4}  {near}".rstrip()


def _short(text: str, width: int) -> str:
    """What has room beside the figures; all of it is in the JSON."""
    return _cut(text, max(width - 55, 24))


def _cut(text: str, width: int) -> str:
    return text if len(text) <= width else text[: width - 1].rstrip() + "…"


def _why_not(chosen: Chosen) -> Iterator[str]:
    """In full why some cannot be drawn, a speaker's first reason."""
    for choice in chosen.choices:
        found = next((trial for trial in choice.trials if trial.why), None)
        if found:
            yield f"no: {choice.speaker.name} at {found.tilt:g}°: {found.why}"


def size_of(speaker: Speaker) -> float:
    """What a speaker is sold as, mm: its nominal size, else its flange's width."""
    return speaker.nominal or speaker.flange.across


def _unread(chosen: Chosen) -> Iterator[str]:
    if chosen.unread:
        names = ", ".join(path.removeprefix("panel.") for path in chosen.unread)
        yield f"NOT MEASURED on the panel, so not known to fit: {names}"
    alike: dict[tuple[str, ...], list[str]] = {}
    for choice in chosen.choices:
        if choice.unread:
            alike.setdefault(choice.unread, []).append(choice.speaker.name)
    for paths, names_ in alike.items():
        told = ", ".join(path.removeprefix("speaker.") for path in paths)
        yield f"NOT MEASURED of {', '.join(names_)}: {told}"
    if chosen.left_out:
        yield f"not tried, being of the other sort: {', '.join(chosen.left_out)}"
    if chosen.broken:
        yield f"not tried, since they do not load: {', '.join(chosen.broken)} (mounts list speaker --check)"
