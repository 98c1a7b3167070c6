"""The measuring card: its boxes are the file's keys, one to one, and it fits its page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from pydantic import TypeAdapter

from mounts.kinds.cup.kind import cup_unread
from mounts.kinds.ring.kind import ring_unread
from mounts.load.editing.readings import FOLDER, Box, Reading, Sort, load_table, parse_example
from mounts.load.editing.template import blank_file
from mounts.load.models.panel import Panel
from mounts.load.models.pins import PinPanel
from mounts.load.models.speaker import Speaker
from mounts.load.parse.document import read
from mounts.load.resolve.job import load_job
from mounts.write.card.blocks import KEY, LABEL, WHAT, WORD, WORDS, BoxBlock, lines_of, width_of
from mounts.write.card.page import ASIDE, EDGE, LEAST_BOX, WIDTH, bands, card_pages, card_pdf
from mounts.write.tiles import SHEETS
from mounts.write.typesetting import register_face, text_width
from tests.schema import build_schema

ROOT = Path(__file__).parents[2]
MODELS: dict[Sort, Any] = {"panel": Panel, "pins": PinPanel, "speaker": Speaker}
LEAST: dict[Sort, dict[str, Any]] = {
    "panel": {"kind": "panel", "name": "a", "opening": {"round": 120},
              "fixings": {"at": {"A": [50, 50], "B": [-50, 50]}}},
    "pins": {"kind": "panel", "name": "a", "room": 26, "grille": {"round": 30},
             "pins": {n: {"at": [x, 0], "diameter": 3, "height": 8} for n, x in (("P", 20), ("Q", -20))}},
    "speaker": {"kind": "speaker", "name": "a", "cutout": 116, "flange": {"diameter": 135, "thickness": 4},
                "depth": 56},
}  # fmt: skip
INSTEAD = {  # keys that stand for another one, of which a file has one
    "opening": ("round", "oblong", "rectangle"),
    "grille": ("round", "oblong"),
    "fixings": ("at", "bolt_circle"),
}
DISTANCES = {"between": "centres", "readings": {"A-B": 100, "B-C": 100, "C-D": 100, "D-A": 100}}
ALONG = {"in_front.trim": {"at_clock": 45}, "holes": {"diameter": 4.8, "bolt_circle": {"diameter": 127, "count": 4}}}
# what the schema knows and the card leaves to the desk, each with its reason
DESK = {
    "about": "words, at the desk",
    "kind": "the card's own",
    "seats.": "instead of ears, where nobody can sit: in the file, with what a hip point is",
    "ears.row": "the first row as a rule",
    "plays": "from the data sheet or the crossover",
    "read_with": "the same for every door of a workshop",
    "other_side.check.": "a second reading on the other side; its own line in the file",
    "ears.this_seat.straight": "instead of one of the three",
    "ears.other_seat.straight": "instead of one of the three",
    "opening.square": "a rectangle says it", "opening.corner": "a rectangle says it",
    "opening.d": "of ports", "opening.unit": "of a DXF file", "opening.outline": "of a DXF file",
    "in_front.trim.opening.": "a round one is read; others are written at the desk",
    "grille.rectangle": "an oblong or the desk", "grille.square": "an oblong or the desk", "grille.corner": "the desk",
    "grille.d": "of ports", "grille.outline": "of a DXF file", "grille.unit": "of a DXF file",
    "nearby.*.hazard": "its words name it as a rule; others at the desk",
    "nearby.*.what": "one line of words, without its key",
    "standing.*.turn": "level or upright as a rule; others at the desk",
    "type": "from the data sheet", "nominal": "from the data sheet", "sd": "from the data sheet, instead of piston",
    "cutout.": "a round one; others from the data sheet's drawing",
    "flange.": "a round one; others from the data sheet's drawing",
    "fixings.trace.": "a DXF file, at the desk", "fixings.points.": "read at the desk, off a rubbing",
    "fixings.holes.": "holes that differ, at the desk",
    "fixings.distances.to_opening.": "edge to edge; others at the desk",
    "opening.trace.": "a DXF file, at the desk", "opening.points": "read at the desk", "opening.shape": "of points",
    "holes.at.": "instead of a bolt circle, from the data sheet's drawing",
}  # fmt: skip


def laid(trail: tuple[str | int, ...], value: Any, into: Any) -> Any:
    """`into` with a value at a trail, as it would be typed."""
    if not trail:
        return value
    first, rest = trail[0], trail[1:]
    if isinstance(first, int):
        held = list(into) if isinstance(into, list) else []
        held += [None] * (first + 1 - len(held))
        held[first] = laid(rest, value, held[first])
        return held
    held = dict(into) if isinstance(into, dict) else {}
    return {**held, first: laid(rest, value, held.get(first))}


def filled(sort: Sort, reading: Reading, line: tuple[Box, ...]) -> dict[str, Any]:
    """The least file with one line of boxes filled in, and without what stands instead of it."""
    data = LEAST[sort]
    top, last = reading.trail[0], reading.trail[-1]
    if last in INSTEAD.get(top, ()) and len(reading.trail) == 2:
        data = {**data, top: {key: held for key, held in data[top].items() if key not in INSTEAD[top]}}
    if reading.key.startswith("fixings.distances") or reading.key == "fixings.order":
        data = {**data, "fixings": {"order": "clockwise", "distances": DISTANCES}}
    if reading.key == "fixings.heights":
        data = laid(("fixings", "at"), {"A": [30, 50], "B": [30, -50], "C": [-30, -50], "D": [-30, 50]}, data)
    for key, held in ALONG.items():
        if reading.key.startswith(key):
            data = laid(tuple(key.split(".")), held, data)
    for box in line:
        trail = tuple(
            0 if isinstance(part, int) and k < len(box.trail) - 1 else part for k, part in enumerate(box.trail)
        )
        if trail[-1] != "web":  # of a hollow pin there is none
            data = laid(trail, example_in(sort, reading, box) if reading.key != "name" else "a", data)
    return data


def example_in(sort: Sort, reading: Reading, box: Box) -> Any:
    """What could be written into a box: its place in the example of the table's row."""
    table = read(FOLDER / f"{sort}.yaml").data
    rows = [*table["head"], *(row for step in table["steps"] for row in step["readings"])]
    (row,) = (row for row in rows if row["key"] == reading.key and row.get("card") is not False)
    value = parse_example(str(row.get("card", reading.put[0])))
    for part in box.trail[len(reading.trail) + reading.is_list :]:
        value = value[part]
    return value


CASES = [
    pytest.param(sort, reading, k, id=f"{sort}-{reading.key}-{k}")
    for sort in ("panel", "pins", "speaker")
    for reading in load_table(sort).readings  # type: ignore[arg-type]
    for k in range(len(reading.lines))
]


@pytest.mark.parametrize(("sort", "reading", "k"), CASES)
def test_what_is_written_into_the_boxes_of_a_key_loads_as_that_key(sort: Sort, reading: Reading, k: int) -> None:
    found = TypeAdapter(MODELS[sort]).validate_python(filled(sort, reading, reading.lines[k]))
    for key in reading.trail:
        found = found[key] if isinstance(found, dict) else getattr(found, key)
    assert found is not None


def leaves(name: str, path: str = "", inside: tuple[str, ...] = ()) -> set[str]:
    """Every key that a definition of the schema knows, dotted; names of a person's own and list places are a star."""
    definitions = build_schema()["definitions"]

    def walk(node: dict[str, Any], path: str, inside: tuple[str, ...]) -> set[str]:
        if "$ref" in node:
            name = node["$ref"].split("/")[-1]
            return {path} if name in inside or name in ("length", "angle", "clock", "mass", "area") else walk(
                definitions[name], path, (*inside, name))  # fmt: skip
        parts = [*node.get("allOf", ()), *node.get("anyOf", ())]
        if "properties" in node:
            found = [walk(held, f"{path}.{key}".lstrip("."), inside) for key, held in node["properties"].items()]
            return set().union(*found)
        if isinstance(node.get("additionalProperties"), dict):
            return walk(node["additionalProperties"], f"{path}.*", inside)
        if isinstance(node.get("items"), dict) and ("properties" in (items := node["items"]) or "$ref" in items):
            return walk(items, f"{path}.*", inside)
        found = [walk(part, path, inside) for part in parts if part.get("type") != "null"]
        nested = [one for one in found if one != {path}]
        return set().union(*nested) if nested else {path}

    return walk(definitions[name], path, inside)


@pytest.mark.parametrize(("sort", "name"), [("panel", "Panel"), ("pins", "PinPanel"), ("speaker", "Speaker")])
def test_every_key_of_the_schema_is_on_the_card_or_left_to_the_desk_for_a_reason(sort: Sort, name: str) -> None:
    boxes = [box for reading in load_table(sort).readings for line in reading.lines for box in line]
    keys = {".".join(str(part) for part in box.trail) for box in boxes}
    starred = {key for box in boxes for key in (_starred(box.trail),)}
    wanted = {key for key in leaves(name) if not any(_left(key, one) for one in (*DESK, "read_with."))}
    missing = {key for key in wanted if not any(_meets(key, told) for told in keys | starred)}
    assert missing == set()


def _left(key: str, to_desk: str) -> bool:
    return key == to_desk or (to_desk.endswith(".") and key.startswith(to_desk))


def _starred(trail: tuple[str | int, ...]) -> str:
    return ".".join("*" if isinstance(part, int) else part for part in trail)


def _meets(key: str, told: str) -> bool:
    """Whether a box tells a key: a box of one place in a list tells the list."""
    one, other = key.split("."), told.split(".")
    return all(a in (b, "*") for a, b in zip(one, other, strict=False)) and len(other) >= len(one) - 1


def test_whatever_a_report_calls_not_measured_is_on_the_card() -> None:
    profiles = ROOT / "profiles"
    ring = load_job(profiles / "jobs" / "linnet-woofer.yaml", profiles)[0]
    bare = ring.__class__(**{f: getattr(ring, f) for f in ring.__dataclass_fields__} | {
        "panel": ring.panel.model_copy(update={"behind": None, "in_front": None, "place": None}),
        "speaker": ring.speaker.model_copy(
            update={"body": (), "terminals": (), "front": None, "piston": None, "sd": None, "mass": None}
        ),
    })  # fmt: skip
    cup = load_job(profiles / "jobs" / "linnet-dash-tweeter-press.yaml", profiles)[0]
    asked: dict[str, set[str]] = {"panel": set(), "pins": set(), "speaker": set()}
    for path in ring_unread(bare):
        asked[path.split(".")[0]].add(path.split(".", 1)[1])
    unread = cup.__class__(**{f: getattr(cup, f) for f in cup.__dataclass_fields__} | {
        "panel": cup.panel.model_copy(update={"grille": None, "standing": (), "place": None})})  # fmt: skip
    asked["pins"] = {path.split(".", 1)[1] for path in cup_unread(unread) if path.startswith("panel.")}
    assert {"behind.glass", "in_front.trim", "place"} <= asked["panel"]
    assert {"grille", "standing"} <= asked["pins"]
    for sort, paths in asked.items():
        told = [
            ".".join(map(str, box.trail))
            for reading in load_table(sort).readings  # type: ignore[arg-type]
            for line in reading.lines
            for box in line
        ]
        assert [path for path in paths if not any(f"{key}.".startswith(f"{path}.") for key in told)] == []


def test_the_file_to_fill_in_and_the_card_ask_in_one_order() -> None:
    for sort in ("panel", "pins", "speaker"):
        text = blank_file(sort, "mine")
        shown = [reading for reading in load_table(sort).readings if reading.in_file]  # type: ignore[arg-type]
        tops = list(dict.fromkeys(reading.trail[0] for reading in shown))
        places = [min(text.find(f"\n{mark}{key}:") % (1 << 30) for mark in ("", "# ")) for key in tops]
        assert places == sorted(places)
        assert all(step.title for step in load_table(sort).steps)  # type: ignore[arg-type]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("sort", ["panel", "pins"])
def test_the_card_is_two_pages_with_room_to_write_and_every_key_on_them(sort: Any, paper: Any) -> None:
    data = card_pdf(sort, paper)
    assert card_pdf(sort, paper) == data
    document = pypdfium2.PdfDocument(data)
    assert len(document) == 2
    for page in document:
        assert [round(side * 25.4 / 72, 1) for side in page.get_size()] == [round(s, 1) for s in SHEETS[paper]]
    text = "".join(page.get_textpage().get_text_range() for page in document)
    for reading in (*load_table(sort).readings, *load_table("speaker").readings):
        for line in reading.lines:
            for word in (*(f"{part}:" for part in reading.trail[:-1]), *(box.label for box in line)):
                assert word in text, reading.key
    for caution in ("airbags", "Battery off", "licensed people"):
        assert caution in text
    register_face()
    for _, box in card_pages(bands(sort), SHEETS[paper][1] - 2 * EDGE):
        assert box >= LEAST_BOX + 0.1  # it fits, and an 18-point hand has room


@pytest.mark.parametrize("sort", ["panel", "pins"])
def test_what_to_measure_is_the_largest_word_and_its_key_small_beneath(sort: Any) -> None:
    register_face()
    for line in lines_of(load_table(sort).readings, WIDTH - ASIDE):
        for block in line:
            assert ":" not in block.what.partition(":")[0]
            assert all(text_width(box.label, LABEL) < width_of(box) for box in block.boxes)
    assert max(LABEL, WORD, KEY) < WHAT and KEY >= 8 * 25.4 / 72
    keys = {block.key for sort in ("panel", "pins", "speaker") for block in _blocks(sort)}
    assert set(WORDS) <= keys, "no words for a key that is not asked"


def _blocks(sort: Any) -> list[BoxBlock]:
    table = load_table(sort)
    runs = [*[step.readings for step in table.steps], table.head]
    if sort == "speaker":
        runs = [sorted(table.readings, key=lambda reading: reading.is_list)]
    return [block for readings in runs for line in lines_of(readings, WIDTH - ASIDE) for block in line]


@pytest.mark.parametrize("sort", ["panel", "pins", "speaker"])
def test_no_line_of_boxes_is_wider_than_the_page(sort: Any) -> None:
    register_face()
    for line in lines_of(load_table(sort).readings, WIDTH - ASIDE):
        assert sum(block.width for block in line) + 1.8 * (len(line) - 1) <= WIDTH - ASIDE + 1e-9
