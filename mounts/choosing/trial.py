"""Trial jobs: one speaker on a panel, mounted as a workshop commonly would, without a file."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from math import hypot
from pathlib import Path

from mounts.errors import InputError, Problem
from mounts.kinds.registry import kind_on
from mounts.load.catalogue.folders import is_path, short_path
from mounts.load.models.hardware import Insert, Pilot, RivetNut
from mounts.load.models.panel import Panel
from mounts.load.models.pins import PinPanel
from mounts.load.models.speaker import Speaker
from mounts.load.models.speaker_job import SpeakerJob
from mounts.load.resolve.job import load_from
from mounts.load.resolve.library import Library, load_profile

NAME = "trial"
HOT = ("dash", "pillar", "shelf")  # places in the sun, where a door's material is too soft
TO_PANEL = "rivet-nut-m5"
TO_SPEAKER = (("insert-m4-short", 4.3), ("insert-m3-short", 3.2))  # and the least hole that its screw goes through
PILOTS = ("pilot-3.0-asa", "pilot-3.0")
THICK = 3.0  # mm of a base gasket, as by default
UP = 0.0  # clock direction, where no ear was measured


@dataclass(frozen=True, slots=True)
class Workshop:
    """Means of a workshop: what a mount is made of and held with; None leaves it to the program.

    Attributes:
        material, printer: names in the library, or what their files hold.
        to_panel, to_speaker: names in the library.
        gasket: width of the base gasket, mm; 0 for none.
    """

    material: str | Mapping[str, object] | None = None
    printer: str | Mapping[str, object] | None = None
    to_panel: str | None = None
    to_speaker: str | None = None
    gasket: float | None = None


@dataclass(frozen=True, slots=True)
class TrialPlace:
    """Panel that a speaker is tried in.

    Attributes:
        panel: seen from the front, of its own side.
        file: its file.
        toward: clock direction that a speaker is tilted to, degrees.
        why_there: in words.
    """

    panel: Panel | PinPanel
    file: Path
    toward: float
    why_there: str


def find_place(library: Library, reference: str, toward: float | None) -> TrialPlace:
    """Return the panel that a name or a file means.

    Args:
        library: where names are looked up.
        reference: name of a panel, or its file.
        toward: clock direction of the tilt; the ear's where it is measured, else up, when not given.

    Raises:
        InputError: where it is not there or does not load.
    """
    file = short_path(Path(reference)) if is_path(reference) else library.find("panel", reference)
    loaded = load_profile("panel", file)
    if not isinstance(loaded.value, Panel | PinPanel):
        raise InputError(*loaded.problems)
    if toward is not None:
        return TrialPlace(loaded.value, file, toward, "as asked")
    found = _to_ear(loaded.value)
    if found is not None:
        return TrialPlace(loaded.value, file, found, "the ear of its own seat")
    return TrialPlace(loaded.value, file, UP, "up, since no ear was measured")


def _to_ear(panel: Panel | PinPanel) -> float | None:
    """Return the clock direction on the panel towards the ear of its own seat; None where that was not measured.

    It holds for a panel that looks straight inboard; lean and toe change it by a few minutes.
    """
    from math import atan2, degrees

    ear = panel.ears.this_seat if panel.ears else None
    if ear is None:
        return None
    rearward, _, up = ear.vector
    right = -rearward if panel.side == "left" else rearward  # seen from the cabin, rearward is left on a left door
    return degrees(atan2(right, up)) % 360 if hypot(right, up) > 0 else None


def trial_job(
    library: Library,
    place: TrialPlace,
    speaker: str | Mapping[str, object],
    workshop: Workshop,
    retention: str = "press",
) -> SpeakerJob:
    """Return one job, level; a ring as low as it can be, or a cup as near the grille.

    Args:
        library: everything that is named is looked up there.
        place: the panel.
        speaker: name of a speaker of the library, or one as its file would hold it.
        workshop: what it is made of.
        retention: of a tweeter in a cup.

    Raises:
        InputError: where something does not load.
    """
    keys = {"name": NAME, **job_keys(library, place, speaker, workshop, retention), "label": False}
    text = "".join(f"{key}: {json.dumps(value)}\n" for key, value in keys.items())  # JSON is YAML
    loaded = load_from(library, place.file.parent / f"{NAME}.yaml", text)
    return next(job for job in loaded if isinstance(job, SpeakerJob))


def job_keys(
    library: Library, place: TrialPlace, speaker: str | Mapping[str, object], workshop: Workshop, retention: str
) -> dict[str, object]:
    """Return what a job's file says of a speaker on a panel beside its name and its aim, key by key.

    Raises:
        InputError: where something does not load.
    """
    cup = isinstance(place.panel, PinPanel)
    screws = None if cup and retention != "flange" else _to_speaker(library, speaker, workshop, cup=cup)
    return {
        "kind": kind_on(pins=cup),
        "panel": place.file.name,
        "speaker": speaker,
        "material": workshop.material or _material(library, place),
        "printer": workshop.printer or _first(library, "printer"),
        **({"retention": retention} if cup else {"fix_to_panel": workshop.to_panel or _hardware(library, RivetNut)}),
        **({"fix_speaker": screws} if screws else {}),
        **({} if cup or workshop.gasket is None else {"gaskets": {"base": _gasket(workshop.gasket)}}),
    }


def _gasket(width: float) -> Mapping[str, float] | bool:
    """Return the value of the key for a base gasket of a width."""
    return {"thickness": THICK, "width": width} if width else False


def _material(library: Library, place: TrialPlace) -> str:
    """Return the name of a material for the place: one that bears the sun where it is hot."""
    wanted = ("pc-abs", "pc") if place.panel.place in HOT else ("asa", "abs")
    return next((name for name in wanted if name in library.names("material")), "") or _first(library, "material")


def _first(library: Library, kind: str) -> str:
    """Return the name of the first own profile of a kind, of printers the one with the largest bed.

    Raises:
        InputError: if there is none.
    """
    names = library.layers.own_names(kind)
    if not names:
        raise InputError(Problem(f"the library holds no {kind}; a mount is planned for one"))
    return max(names, key=lambda name: _bed(library, name)) if kind == "printer" else names[0]


def _bed(library: Library, name: str) -> float:
    """Return the area of a printer's bed, mm²."""
    found = library.get("printer", name).value
    return float(found.bed[0] * found.bed[1]) if found else 0.0


def _hardware(library: Library, sort: type) -> str:
    """Return the usual rivet nut, or the first item of a sort.

    Raises:
        InputError: if there is none.
    """
    if library.item(TO_PANEL):
        return TO_PANEL
    found = [name for name, (item, _) in library.hardware().items() if isinstance(item, sort)]
    if not found:
        raise InputError(Problem("the library holds no rivet nut; give --fix-to-panel"))
    return found[0]


def _to_speaker(library: Library, speaker: str | Mapping[str, object], workshop: Workshop, *, cup: bool) -> str | None:
    """Return the largest short insert whose screw the speaker's holes take; None where it has no holes."""
    hole = _hole(library, speaker)
    if hole is None:
        return None
    if workshop.to_speaker:
        return workshop.to_speaker
    wanted = [name for name, least in TO_SPEAKER if hole >= least]
    known = [name for name in (PILOTS if cup else (*wanted, *PILOTS)) if library.item(name)]
    if known:
        return known[0]
    held = [name for name, (item, _) in library.hardware().items() if isinstance(item, Insert | Pilot)]
    if not held:
        raise InputError(Problem("the library holds no insert or pilot; give --fix-speaker"))
    return held[0]


def _hole(library: Library, speaker: str | Mapping[str, object]) -> float | None:
    """Return the diameter of a speaker's screw holes; None where it has none."""
    if not isinstance(speaker, str):
        holes = speaker.get("holes")
        return float(holes["diameter"]) if isinstance(holes, Mapping) else None
    found = library.get("speaker", speaker).value
    return found.holes.diameter if isinstance(found, Speaker) and found.holes else None


def refuse_unknown(library: Library, workshop: Workshop) -> None:
    """Check that the library holds everything that a workshop names.

    Raises:
        InputError: with every name that it does not hold, and the nearest that it does.
    """
    wrong = [
        *_unknown("material", workshop.material, library.names("material")),
        *_unknown("printer", workshop.printer, library.names("printer")),
        *_unknown("hardware", workshop.to_panel, library.names("hardware") if workshop.to_panel else ()),
        *_unknown("hardware", workshop.to_speaker, library.names("hardware") if workshop.to_speaker else ()),
    ]
    if wrong:
        raise InputError(*wrong)


def _unknown(kind: str, name: str | Mapping[str, object] | None, names: Sequence[str]) -> Iterator[Problem]:
    """Yield the problem with a name that is not among the known ones."""
    if isinstance(name, str) and name not in names:
        close = get_close_matches(name, names, 1, 0.5)
        yield Problem(
            f'no {kind} "{name}"; ' + (f'did you mean "{close[0]}"?' if close else f"there: {', '.join(names)}")
        )


def error_text(error: InputError) -> str:
    """Return why a mount cannot be drawn, without the place in a file that nobody wrote."""
    return error.problems[0].what
