"""Inserts, rivet nuts and pilots of the library against published tables; for these no standard exists.

Sources: the heat-set table of the package bd_warehouse (Apache-2.0; installed without its dependencies), whose column
"material_thickness" means hole depth in the first two suppliers' groups, least wall in the last two and nothing in the
third, and where one size may stand in several rows; three data sheets of a rivet-nut distributor and one supplier's
strengths; one screw maker's table for plastics.
"""

import csv
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
import yaml

HARDWARE = Path(__file__).parents[2] / "profiles" / "hardware"
Row = dict[str, str]


@cache
def items(family: str) -> dict[str, dict[str, Any]]:
    """The items of one hardware family, by name."""
    found: dict[str, dict[str, Any]] = yaml.safe_load((HARDWARE / f"{family}.yaml").read_text(encoding="utf-8"))
    return found["items"]


@cache
def rows(name: str) -> list[Row]:
    """The rows of one table of bd_warehouse; headings and cells carry stray blanks."""
    text = (files("bd_warehouse") / "data" / f"{name}.csv").read_text(encoding="utf-8")
    return [{k.strip(): (v or "").strip() for k, v in row.items()} for row in csv.DictReader(text.splitlines())]


# --- heat-set inserts ------------------------------------------------------------------------------------------------


def insert_rows(group: int) -> list[Row]:
    """Rows of one supplier's group of the heat-set table, by its place from the left, headings without the supplier."""
    suppliers = list(dict.fromkeys(head.split(":")[0] for head in rows("heatset_nut_parameters")[0] if ":" in head))
    mark = f"{suppliers[group]}:"
    found = [{k.removeprefix(mark): v for k, v in row.items()} for row in rows("heatset_nut_parameters")]
    return [row for row in found if row["s"]]


def standard_make(thread: str) -> list[Row]:
    """The fourth group's inserts of a thread, but for an M3 of another make, 5.0 outside, that stands among them."""
    return [row for row in insert_rows(3) if row["Size"].startswith(f"{thread}-") and row["s"] != "5.0"]


@pytest.mark.parametrize("name", items("inserts"))
def test_inserts_are_those_of_the_heat_set_table(name: str) -> None:
    # the M3 of 3.0 stands in the fifth group only, the M4 of 4.7 in the first, all others in the fourth
    insert = items("inserts")[name]
    group = {"insert-m3-short": 4, "insert-m4-short": 0}.get(name, 3)
    across = {(r["Size"].split("-")[0], float(r["m"])): float(r["s"]) for r in insert_rows(group)}
    assert insert["outside"] == across[insert["thread"], insert["length"]]


@pytest.mark.parametrize("thread", ["M3", "M4", "M5", "M6"])
def test_insert_walls_are_the_tables_least(thread: str) -> None:
    # "material_thickness" means the least wall in the fourth group, hole depth in the first two, nothing in the third
    walls = {float(row["material_thickness"]) for row in standard_make(thread)}
    assert {i["wall"] for i in items("inserts").values() if i["thread"] == thread} == walls


@pytest.mark.parametrize("thread", ["M3", "M4", "M5", "M6"])
def test_insert_holes_take_the_tables_drill(thread: str) -> None:
    # the hole is drawn at the chart's figure, which allows +0.1; the nearest inch drill is a little larger
    (drill,) = {row["drill"] for row in standard_make(thread)}
    across = float({r["Size"]: r["Diameter"] for r in rows("drill_sizes")}[drill]) * 25.4
    for insert in (i for i in items("inserts").values() if i["thread"] == thread):
        assert 0 <= across - insert["hole"] < 0.15
        assert insert["hole"] < insert["outside"]


def test_pockets_are_as_much_deeper_than_the_insert_as_in_the_table() -> None:
    # second group: "material_thickness" is the hole's depth
    over = {round(float(row["material_thickness"]) - float(row["m"]), 6) for row in insert_rows(1)}
    assert {insert["over"] for insert in items("inserts").values()} == over == {0.8}


# --- rivet nuts ------------------------------------------------------------------------------------------------------

RIVET_NUTS = {
    # distributor's sheet of 2000, knurled, thin sheet, reduced head: hole, body, flange, height, length, grip
    "rivet-nut-m4": (6.4, 6.35, 7.2, 0.6, 10.5, [0.5, 2.5]),
    "rivet-nut-m5": (7.2, 7.1, 7.9, 0.6, 11.8, [0.5, 3.0]),
    "rivet-nut-m6": (9.6, 9.5, 10.5, 0.6, 15.5, [0.5, 3.0]),
    # sheet of 2020, round, flat head, multigrip
    "rivet-nut-m4-flat": (7.0, 6.9, 10.0, 0.8, 14.0, [0.5, 4.0]),
    "rivet-nut-m5-flat": (8.0, 7.9, 11.0, 1.0, 17.0, [0.5, 5.0]),
    "rivet-nut-m6-flat": (9.0, 8.9, 13.0, 1.5, 19.5, [0.5, 6.0]),
    # sheet of 2001, knurled, large pan head
    "rivet-nut-m4-pan": (6.75, None, 9.91, 0.76, 11.4, [0.5, 2.0]),
    "rivet-nut-m5-pan": (7.6, None, 10.54, 0.76, 12.8, [0.5, 3.3]),
    "rivet-nut-m6-pan": (10.0, None, 12.7, 0.76, 15.5, [0.7, 4.2]),
}


def test_rivet_nuts_are_those_of_the_three_sheets() -> None:
    keys = ("hole", "body", "flange", "flange_height", "length", "grip")
    assert {name: tuple(nut.get(k) for k in keys) for name, nut in items("rivet-nuts").items()} == RIVET_NUTS


@pytest.mark.parametrize(
    ("thread", "flat", "reduced", "proof"), [("m4", 1.0, 0.8, 6800), ("m5", 2.0, 1.5, 11500), ("m6", 4.5, 3.5, 16500)]
)
def test_rivet_nut_strength_is_the_suppliers(thread: str, flat: float, reduced: float, proof: float) -> None:
    # one supplier's sheet of steel nuts: recommended screw torque, N·m, and axial proof load, N
    nuts = items("rivet-nuts")
    assert (nuts[f"rivet-nut-{thread}-flat"]["torque"], nuts[f"rivet-nut-{thread}-flat"]["proof"]) == (flat, proof)
    assert nuts[f"rivet-nut-{thread}"]["torque"] == reduced


@pytest.mark.parametrize("family", ["rivet-nuts", "expansion-nuts"])
def test_a_nuts_flange_covers_its_hole(family: str) -> None:
    for name, nut in items(family).items():
        assert float(nut["thread"][1:]) < nut.get("body", nut["hole"]) <= nut["hole"] < nut["flange"], name


# --- thread-forming screws -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", items("pilots"))
def test_pilots_follow_the_screw_makers_factors(name: str) -> None:
    # one maker's table: hole 0.80 d (ABS, ABS/PC) or 0.78 d (ASA), boss 2.00 d outside, engagement 2.00 d
    pilot = items("pilots")[name]
    across = pilot["diameter"]
    assert name.removeprefix("pilot-").removesuffix("-asa") == pilot["thread"] == f"{across:.1f}"
    assert pilot["hole"] == pytest.approx((0.78 if name.endswith("asa") else 0.80) * across, abs=1e-9)
    assert pilot["hole"] + 2 * pilot["wall"] == pytest.approx(2.0 * across, abs=1e-9)
    assert pilot["engagement"] == 2.0 * across


def test_every_pilot_has_its_screw() -> None:
    wanted = {f"thread-forming-{pilot['thread']}" for pilot in items("pilots").values()}
    assert wanted == set(items("thread-forming-screws"))
