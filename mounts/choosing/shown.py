"""What goes in a place, on one screen and as one JSON document."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import Any

from mounts.choosing.choices import Choice, Chosen, Trial
from mounts.choosing.room import Room
from mounts.choosing.trial import Place
from mounts.load.models.pins import PinPanel
from mounts.load.models.resolved import Job
from mounts.load.models.speaker import Speaker
from mounts.load.units import clock_words

SCHEMA = 1  # of the JSON document; rises when a field changes its meaning
NAME, CELL = 34, 14  # columns
NONE = "–"
MARGIN = (
    "margin: least distance to what was measured, less what is wanted there; of a part that breaks a limit, by how much"
)


def fits_text(place: Place, rooms: Sequence[Room], chosen: Chosen, width: int) -> str:
    """The room and the speakers for the screen.

    Args:
        place: the panel.
        rooms: one a tilt.
        chosen: the speakers that were tried.
        width: columns of the screen.
    """
    lines = [*_head(place, rooms, chosen), "", *_room_rows(place, rooms), "", *_rows(chosen, width)]
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


def _head(place: Place, rooms: Sequence[Room], chosen: Chosen) -> Iterator[str]:
    panel = place.panel
    yield f"{panel.name}  {panel.about}".rstrip()
    tilts = ", ".join(f"{room.tilt:g}" for room in rooms)
    yield f"tilts of {tilts} degrees towards {clock_words(place.toward)}, {place.why_there}"
    job = chosen.job
    if job is not None:
        fixed = f", {job.fix_to_panel.hardware.name}" if isinstance(job, Job) else ""
        screws = f", {job.fix_speaker.hardware.name}" if job.fix_speaker else ""
        yield f"planned with {job.material.name}, {job.printer.name}{fixed}{screws}"


def _room_rows(place: Place, rooms: Sequence[Room]) -> Iterator[str]:
    yield _row("what goes in", [f"{room.tilt:g}°" for room in rooms])
    for room in rooms:
        if room.height is None:
            yield f"at {room.tilt:g}°: no mount can be drawn: {room.why}"
    yield _row("seat's height above the face", [_figure(room.height) for room in rooms])
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
            "flange under trim and grille",
            [(wide if r.flange is None else f"{r.flange:g}") if d else NONE for r, d in zip(rooms, drawn, strict=True)],
        )
        yield _row("front and travel above the seat", [_figure(room.front) for room in rooms])


def _front_measured(place: Place) -> bool:
    return not isinstance(place.panel, PinPanel) and place.panel.in_front is not None


def _row(name: str, cells: Sequence[str]) -> str:
    return name.ljust(NAME) + "  ".join(cell.ljust(CELL) for cell in cells).rstrip()


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
    room = max(width - 55, 24)
    return text if len(text) <= room else text[: room - 1].rstrip() + "…"


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


def fits_json(place: Place, rooms: Sequence[Room], chosen: Chosen) -> str:
    """The same as one JSON document ending in a line end.

    schema: number of this format (1).
    panel, file, toward: the panel, its file, and the clock direction of the tilt in degrees; why_there: in words.
    planned_with: {material, printer, fix_to_panel, fix_speaker}; null where nothing was planned.
    room: {tilt, height, why, body, depths: [{across, depth, limited_by}], flange, front}, mm; height is null where no
        mount can be drawn, flange where nothing limits it.
    speakers: {speaker, size, passes, not_measured, trials}; trials: [{tilt, verdict, margin, between, reading, sd,
        height, why}]; verdict is "no" where it cannot be drawn, and why then says why.
    not_measured: paths of the panel's readings; left_out, broken: names of speakers that were not tried.
    """
    job = chosen.job
    tree = {
        "schema": SCHEMA,
        "panel": place.panel.name,
        "file": str(place.file),
        "toward": round(place.toward, 2),
        "why_there": place.why_there,
        "planned_with": None if job is None else _planned_with(job),
        "room": [_room_tree(room) for room in rooms],
        "speakers": [_choice_tree(choice) for choice in chosen.choices],
        "not_measured": list(chosen.unread),
        "left_out": list(chosen.left_out),
        "broken": list(chosen.broken),
    }
    return json.dumps(tree, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _planned_with(job: Any) -> dict[str, Any]:
    return {
        "material": job.material.name,
        "printer": job.printer.name,
        "fix_to_panel": job.fix_to_panel.hardware.name if isinstance(job, Job) else None,
        "fix_speaker": job.fix_speaker.hardware.name if job.fix_speaker else None,
    }


def _room_tree(room: Room) -> dict[str, Any]:
    return {
        "tilt": room.tilt,
        "height": _rounded(room.height),
        "why": room.why or None,
        "body": _rounded(room.body),
        "depths": [
            {"across": across, "depth": found[0] if found else None, "limited_by": found[1] if found else None}
            for across, found in room.depths
        ],
        "flange": _rounded(room.flange),
        "front": _rounded(room.front),
    }


def _choice_tree(choice: Choice) -> dict[str, Any]:
    return {
        "speaker": choice.speaker.name,
        "size": _rounded(size_of(choice.speaker)),
        "passes": choice.passes,
        "not_measured": list(choice.unread),
        "trials": [_trial_tree(trial) for trial in choice.trials],
    }


def _trial_tree(trial: Trial) -> dict[str, Any]:
    found = trial.margin
    return {
        "tilt": trial.tilt,
        "verdict": str(found.verdict) if found else "no",
        "margin": _rounded(found.margin) if found else None,
        "between": list(found.between) if found and found.between else None,
        "reading": (found.reading or None) if found else None,
        "sd": found.sd if found else None,
        "height": _rounded(found.height) if found else None,
        "why": trial.why or None,
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3) + 0.0
