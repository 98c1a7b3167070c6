"""The bought parts of a job, looked up by name and checked against each other."""

from __future__ import annotations

from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Any, Literal, TypeVar, get_args

from mounts.errors import Problem
from mounts.load.models.fastener import Item, PanelItem, SpeakerItem
from mounts.load.models.hardware import KINDS, Insert, Pilot, Screw, Through, Washer
from mounts.load.models.job import PanelFixing, Spares, SpeakerFixing
from mounts.load.models.job_file import FixSpeaker, FixToPanel
from mounts.load.parse.document import Document, Trail, format_trail, read
from mounts.load.parse.messages import join_options
from mounts.load.parse.units import list_names, quote_value
from mounts.load.resolve.library import Library

ItemT = TypeVar("ItemT", bound=Item)
ISO_273 = Path(__file__).resolve().parents[2] / "data" / "iso-273.yaml"
NOT_IN_ISO_273 = 1.06  # fine hole over a thread that the standard does not hold, as its others are from M4 to M10
FOR_PANEL = tuple(kind for kind in KINDS if issubclass(kind, PanelItem))
FOR_SPEAKER = tuple(kind for kind in KINDS if issubclass(kind, SpeakerItem))
FOR_HALVES: tuple[type[Item], ...] = (Insert, Pilot)
THINNEST, THROUGH = 3.0, 0.2  # mm: of a speaker's screws, and by which its holes are wider
IN_LAPS = ("insert-m3-short", "pilot-3.0-{}", "pilot-3.0")  # for halves, where a job names nothing; {} is the material


class Fasteners:
    """Looks bought parts up for one job and gathers what is wrong."""

    def __init__(self, library: Library, document: Document) -> None:
        self.library, self.document = library, document
        self.problems: list[Problem] = []

    def panel(self, wanted: FixToPanel | None) -> PanelFixing | None:
        """Return what holds the mount to the panel; None when there is a problem."""
        if wanted is None:
            return None
        hardware = self._item(wanted.hardware, ("fix_to_panel", "hardware"), FOR_PANEL)
        if hardware is None:
            return None
        thread: str = getattr(hardware, "thread", "")
        screw = self._screw(wanted.screw, thread, ("fix_to_panel", "screw"))
        if screw is None:
            return None
        bare = wanted.washer is False or (wanted.washer is None and screw.head == "countersunk")
        if not bare and screw.head == "countersunk":
            self._wrong(("fix_to_panel", "washer"), f"no washer lies under the countersunk {screw.name}; leave it out")
            return None
        washer = None if bare else self._washer(wanted.washer or None, thread)
        if washer is None and not bare:
            return None
        fine = clearance_hole(thread, "fine") or float(thread.removeprefix("M")) * NOT_IN_ISO_273
        return PanelFixing(hardware, screw, washer, fine)

    def speaker(self, wanted: FixSpeaker | None, key: Trail = ("fix_speaker",)) -> SpeakerFixing | None:
        """Return what holds the speaker or device that `key` asks for to the mount; None when there is a problem."""
        return self._in_plastic(wanted, key, FOR_SPEAKER)

    def halves(self, wanted: FixSpeaker | None, material: str) -> SpeakerFixing | None:
        """Return what screws the halves of a mount together: as wanted, else the first of IN_LAPS in the library.

        None when there is a problem, or when nothing is wanted and the library has none of them.
        """
        key: Trail = ("fix_halves",)
        if wanted is not None:
            return self._in_plastic(wanted, key, FOR_HALVES)
        for name in (name.format(material) for name in IN_LAPS):
            if self.library.item(name) is not None:
                return self._in_plastic(FixSpeaker(hardware=name), key, FOR_HALVES)
        return None

    def spares(self, to_panel: PanelFixing, own: SpeakerFixing | None, hole: float, material: str) -> Spares:
        """Return what the library has beside a job's own washer and speaker screws.

        Args:
            to_panel, own: the job's own.
            hole: diameter of the speaker's screw holes, mm.
            material: of the mount, for which some pilots are.
        """
        washer, screw = to_panel.washer, to_panel.screw
        narrower = [
            one
            for one in self._all(Washer)
            if washer and one.thread == screw.thread and screw.head_diameter <= one.outside < washer.outside - 0.05
        ]
        found = []
        for item in (self._item(one.name, (), FOR_SPEAKER) for kind in FOR_SPEAKER for one in self._all(kind)):
            if not isinstance(item, SpeakerItem) or own is None or not THINNEST <= _nominal(item) <= hole - THROUGH:
                continue
            if isinstance(item, Pilot) and item.material not in ("", material):
                continue
            fitting = [one for one in self._all(Screw) if one.thread == getattr(item, "thread", "")]
            usual = self.library.item(f"iso-7380-{getattr(item, 'thread', '').lower()}")
            screws = [usual[0]] if usual and isinstance(usual[0], Screw) else fitting
            if item.name != own.hardware.name and screws:
                found.append(SpeakerFixing(item, screws[0]))
        if own is not None:
            found.sort(key=lambda one: abs(_nominal(one.hardware) - _nominal(own.hardware)))
        return Spares(tuple(found), tuple(sorted(narrower, key=lambda one: -one.outside)))

    def _in_plastic(self, wanted: FixSpeaker | None, key: Trail, kinds: tuple[type[Item], ...]) -> SpeakerFixing | None:
        """Return what holds a thing to printed material; None when there is a problem."""
        if wanted is None:
            return None
        hardware = self._item(wanted.hardware, (*key, "hardware"), kinds)
        if hardware is None:
            return None
        trail: Trail = (*key, "screw")
        if isinstance(hardware, Pilot) and wanted.screw is None:
            fitting = [screw for screw in self._all(Screw) if screw.thread == hardware.thread]
            return SpeakerFixing(hardware, fitting[0] if fitting else None)
        screw = self._screw(wanted.screw, getattr(hardware, "thread", ""), trail)
        return SpeakerFixing(hardware, screw) if screw else None  # type: ignore[arg-type]

    def _item(self, name: str, trail: Trail, kinds: tuple[type[ItemT], ...]) -> ItemT | None:
        found = self.library.item(name)
        item = found[0] if found else None
        if isinstance(item, Through) and item.hole is None:
            item = item.model_copy(update={"hole": clearance_hole(item.thread)})
        if isinstance(item, kinds):
            return item
        if item is not None:
            wanted = join_options([_word(kind) for kind in kinds])
            self._wrong(trail, f"{name} is {_article(_word(type(item)))}; {format_trail(trail)} takes {wanted}")
            return None
        if hidden := self.library.hiding(name):
            self.problems += hidden
            return None
        fitting = [one.name for kind in kinds for one in self._all(kind)]
        near = get_close_matches(name, fitting, 1, 0.5)
        hint = f'did you mean "{near[0]}"?' if near else f"there: {list_names(fitting, 'hardware')}"
        self._wrong(trail, f"no hardware {quote_value(name)} in the library; {hint}")
        self.problems += self.library.hardware_problems()
        return None

    def _all(self, kind: type[ItemT]) -> list[ItemT]:
        return [item for item, _ in self.library.hardware().values() if isinstance(item, kind)]

    def _screw(self, name: str | None, thread: str, trail: Trail) -> Screw | None:
        screw = self._item(name or f"iso-7380-{thread.lower()}", trail, (Screw,))
        if screw and screw.thread != thread:
            self._wrong(trail, f"{screw.name} has the thread {screw.thread}; {thread} is needed")
            return None
        return screw

    def _washer(self, wanted: str | float | None, thread: str) -> Washer | None:
        trail: Trail = ("fix_to_panel", "washer")
        if isinstance(wanted, float):
            return self._washer_across(wanted, thread)
        washer = self._item(wanted or f"iso-7093-{thread.lower()}", trail, (Washer,))
        if washer and washer.thread != thread:
            self._wrong(trail, f"{washer.name} is for {washer.thread}; {thread} is needed")
            return None
        return washer

    def _washer_across(self, across: float, thread: str) -> Washer | None:
        """Return the library's washer of that outside diameter, or its large washer resized to it."""
        for washer in self._all(Washer):
            if washer.thread == thread and abs(washer.outside - across) < 0.05:
                return washer
        trail: Trail = ("fix_to_panel", "washer")
        large = self._item(f"iso-7093-{thread.lower()}", trail, (Washer,))
        if large is None:
            return None
        if across <= large.inside + 1:
            self._wrong(trail, f"a washer {across:g} across leaves nothing round its hole of {large.inside:g}")
            return None
        name = f"washer-{thread.lower()}-{across:g}"
        return large.model_copy(update={"name": name, "outside": across, "standard": "", "source": "the job"})

    def _wrong(self, trail: Trail, what: str) -> None:
        self.problems.append(self.document.problem(trail, what))


def _nominal(item: SpeakerItem) -> float:
    """Return the nominal diameter of the screw that an item holds, mm."""
    return item.diameter if isinstance(item, Pilot) else float(getattr(item, "nominal", 0.0))


def _word(kind: type[Item]) -> str:
    """Return the word for a kind of item in its file."""
    word: str = get_args(kind.model_fields["is_"].annotation)[0]
    return word


def _article(word: str) -> str:
    return f"an {word}" if word[0] in "aeiou" else f"a {word}"


@cache
def _holes() -> dict[str, dict[str, float]]:
    held: Any = read(ISO_273).data
    holes: dict[str, dict[str, float]] = held["holes"]
    return holes


def clearance_hole(thread: str, series: Literal["fine", "medium", "coarse"] = "medium") -> float | None:
    """Return the diameter of a clearance hole by ISO 273, mm; None for a thread that is not in the standard."""
    row = _holes().get(thread)
    return row[series] if row else None
