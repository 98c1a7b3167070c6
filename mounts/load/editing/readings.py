"""The readings that a panel or a speaker asks for, in the order of the work: one table for files and for cards."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from mounts.load.parse.document import parse, read

Sort = Literal["panel", "pins", "speaker"]
Trail = tuple[str | int, ...]

FOLDER = Path(__file__).resolve().parents[2] / "data" / "readings"


@dataclass(frozen=True, slots=True)
class Box:
    """One value to write down.

    Attributes:
        trail: where it goes in the file; a whole number is a place in a list.
        label: what is printed in it: its key, the name of its place in a list, or a hint.
        width: of its box, in narrow ones.
        choices: words of which one is ticked; none where something is written.
    """

    trail: Trail
    label: str
    width: float = 1.0
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """One key of the file.

    Attributes:
        key: dotted.
        put: an example, as YAML; several for the lines of a list.
        is_list: whether they are such lines.
        note: said beside it in the file.
        instead: whether the file shows it as a comment, since another key is in force there.
        in_file: whether the file shows it by itself.
        lines: of boxes on the card; each is a run of boxes.
    """

    key: str
    put: tuple[str, ...]
    is_list: bool
    note: str
    instead: bool
    in_file: bool
    lines: tuple[tuple[Box, ...], ...]

    @property
    def trail(self) -> tuple[str, ...]:
        """The key's parts."""
        return tuple(self.key.split("."))


@dataclass(frozen=True, slots=True)
class ReadingStep:
    """One step of the work: its title, what to do as a file and as a card say it, its sketch, its readings."""

    title: str
    file: str
    card: str
    sketch: str
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class ReadingTable:
    """All readings of one sort.

    Attributes:
        kind: of the file that they go into.
        about, last: comments at its top and its end.
        head: what is written before the work begins.
        steps: the work.
    """

    kind: str
    about: str
    head: tuple[Reading, ...]
    steps: tuple[ReadingStep, ...]
    last: str

    @property
    def readings(self) -> Iterator[Reading]:
        """All of them in their order."""
        yield from self.head
        for step in self.steps:
            yield from step.readings


def load_table(sort: Sort) -> ReadingTable:
    """Return the shipped table of one sort of readings."""
    data = read(FOLDER / f"{sort}.yaml").data
    steps = tuple(
        ReadingStep(s["title"], s["file"], s["card"], s["sketch"], tuple(map(_reading, s["readings"])))
        for s in data["steps"]
    )
    return ReadingTable(data["kind"], data["about"], tuple(map(_reading, data["head"])), steps, data["last"])


def parse_example(text: str) -> Any:
    """Return the value of an example written in YAML."""
    return parse(f"value: {text}\n", FOLDER).data["value"]


def _reading(row: Mapping[str, Any]) -> Reading:
    key = str(row["key"])
    put = tuple(str(one) for one in row["each"]) if "each" in row else (str(row.get("put", "NAME")),)
    drawn = row.get("card", put[0])
    lines = range(row["lines"]) if "each" in row else (None,)
    trails = [(*key.split("."), *(() if k is None else (k,))) for k in lines] if drawn is not False else []
    boxes = tuple(tuple(_boxes(row, trail, parse_example(str(drawn)))) for trail in trails)
    instead, in_file = bool(row.get("instead", False)), bool(row.get("file", True))
    return Reading(key, put, "each" in row, str(row.get("note", "")), instead, in_file, boxes)


def _boxes(row: Mapping[str, Any], trail: Trail, value: Any) -> Iterator[Box]:
    """Yield a box for every plain value of an example."""
    last = str(trail[-1])
    if isinstance(value, dict):
        for name, held in value.items():
            yield from _boxes(row, (*trail, name), held)
    elif isinstance(value, list) and value and "boxes" in row:
        names = row["boxes"][last] if isinstance(row["boxes"], dict) else row["boxes"]
        for k, name in enumerate(names):
            yield Box((*trail, k), f"{_prefix(trail, row)}{name}")
    else:
        choose = row.get("choose", ())
        choices = choose.get(last, ()) if isinstance(choose, dict) else choose
        width = row.get("widths", {}).get(last, row.get("width", 1.0))
        hint = row.get("hint", last) if ".".join(map(str, trail)) == row["key"] else last
        yield Box(trail, hint, float(width), tuple(choices))


def _prefix(trail: Trail, row: Mapping[str, Any]) -> str:
    """Return the prefix of a place in a list: its key, where that is not the reading's own."""
    return "" if ".".join(map(str, trail)) == row["key"] else f"{trail[-1]} "
