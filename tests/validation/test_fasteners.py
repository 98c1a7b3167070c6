"""Clearance holes, screws, washers and nuts of the library against published tables.

Sources: the tables of the package bd_warehouse (Apache-2.0; installed without its dependencies), where they hold what
their heading says; FreeCAD_FastenersWB and suppliers' data pages where they hold something else, and then the test
says what.
"""

import csv
from functools import cache
from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import yaml

ROOT = Path(__file__).parents[2]
PITCHES = {"M3": "0.5", "M4": "0.7", "M5": "0.8", "M6": "1", "M8": "1.25"}
Row = dict[str, str]


@cache
def items(family: str) -> dict[str, dict[str, Any]]:
    """The items of one hardware family, by name."""
    text = (ROOT / "profiles" / "hardware" / f"{family}.yaml").read_text(encoding="utf-8")
    found: dict[str, dict[str, Any]] = yaml.safe_load(text)["items"]
    return found


@cache
def rows(name: str) -> list[Row]:
    """The rows of one table of bd_warehouse; headings and cells carry stray blanks."""
    text = (files("bd_warehouse") / "data" / f"{name}.csv").read_text(encoding="utf-8")
    return [{k.strip(): (v or "").strip() for k, v in row.items()} for row in csv.DictReader(text.splitlines())]


@cache
def table(name: str, key: str = "Size") -> dict[str, Row]:
    """One table of bd_warehouse by a column whose cells are all different."""
    by_key = {row[key]: row for row in rows(name)}
    assert len(by_key) == len(rows(name))
    return by_key


def pitched(thread: str) -> str:
    """A thread as the tables write it: M5 is M5-0.8."""
    return f"{thread}-{PITCHES[thread]}"


def series(standard: str) -> dict[str, dict[str, Any]]:
    """The screws of one standard, by thread."""
    return {item["thread"]: item for item in items("screws").values() if item.get("standard") == standard}


# --- clearance holes -------------------------------------------------------------------------------------------------


def clearance() -> dict[str, dict[str, float]]:
    text = (ROOT / "mounts" / "data" / "iso-273.yaml").read_text(encoding="utf-8")
    holes: dict[str, dict[str, float]] = yaml.safe_load(text)["holes"]
    return holes


@pytest.mark.parametrize("thread", ["M2.5", "M3", "M3.5", "M4", "M5", "M6", "M8", "M10"])
def test_clearance_holes_are_those_of_bd_warehouse_up_to_m10(thread: str) -> None:
    row = table("clearance_hole_sizes")[thread]
    expected = {"fine": float(row["Close"]), "medium": float(row["Normal"]), "coarse": float(row["Loose"])}
    assert clearance()[thread] == expected


def test_m12_is_iso_273_and_not_the_asme_row_of_the_same_table() -> None:
    # ISO 273 as in FreeCAD's FeatureHole; bd_warehouse holds ASME B18.2.8 from M12 on: 13, 14, 15
    assert clearance()["M12"] == {"fine": 13.0, "medium": 13.5, "coarse": 14.5}


def test_all_clearance_holes_are_checked_above() -> None:
    assert list(clearance()) == ["M2.5", "M3", "M3.5", "M4", "M5", "M6", "M8", "M10", "M12"]


# --- screw heads -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("thread", PITCHES)
@pytest.mark.parametrize(
    ("standard", "name", "diameter", "height"),
    [
        ("ISO 7380-1", "button_head_parameters", "iso7380_1:dk", "iso7380_1:k"),
        ("ISO 7380-2", "button_head_with_collar_parameters", "iso7380_2:dc", "iso7380_2:k"),
        # ISO 14583 has ISO 7045's pan head with another recess; bd_warehouse has no ISO 7045
        ("ISO 7045", "pan_head_parameters", "iso14583:dk", "iso14583:k"),
        # its iso7046 columns hold the withdrawn DIN 965; ISO 14581 has ISO 7046's head with another recess
        ("ISO 7046-2", "countersunk_head_parameters", "iso14581:dk", "iso14581:k"),
    ],
)
def test_heads_are_those_of_bd_warehouse(standard: str, name: str, diameter: str, height: str, thread: str) -> None:
    row, screw = table(name)[pitched(thread)], series(standard)[thread]
    assert (screw["head_diameter"], screw["head_height"]) == (float(row[diameter]), float(row[height]))


@pytest.mark.parametrize(
    ("thread", "plain", "knurled"),
    # ISO 4762 in FreeCAD_FastenersWB iso4762def, both forms
    [("M3", 5.5, 5.68), ("M4", 7.0, 7.22), ("M5", 8.5, 8.72), ("M6", 10.0, 10.22), ("M8", 13.0, 13.27)],
)
def test_socket_heads_are_plain_where_bd_warehouse_has_knurled(thread: str, plain: float, knurled: float) -> None:
    row, screw = table("socket_head_cap_parameters")[pitched(thread)], series("ISO 4762")[thread]
    assert float(row["iso4762:dk"]) == knurled
    assert (screw["head_diameter"], screw["head_height"]) == (plain, float(row["iso4762:k"]))


@pytest.mark.parametrize(
    ("thread", "diameter", "height"),
    # FreeCAD_FastenersWB iso7045def
    [("M3", 5.6, 2.4), ("M4", 8.0, 3.1), ("M5", 9.5, 3.7), ("M6", 12.0, 4.6), ("M8", 16.0, 6.0)],
)
def test_pan_heads_are_iso_7045(thread: str, diameter: float, height: float) -> None:
    screw = series("ISO 7045")[thread]
    assert (screw["head_diameter"], screw["head_height"]) == (diameter, height)


@pytest.mark.parametrize(
    ("thread", "theoretical", "actual", "height"),
    # FreeCAD_FastenersWB iso10642def and a socket-screw table; bd_warehouse holds the withdrawn DIN 7991 (M5 10 / 2.8)
    [
        ("M3", 6.72, 6.0, 1.86),
        ("M4", 8.96, 8.0, 2.48),
        ("M5", 11.2, 10.0, 3.1),
        ("M6", 13.44, 12.0, 3.72),
        ("M8", 17.92, 16.0, 4.96),
    ],
)
def test_countersunk_heads_are_the_theoretical_ones_of_iso_10642(
    thread: str, theoretical: float, actual: float, height: float
) -> None:
    screw = series("ISO 10642")[thread]
    assert (screw["head_diameter"], screw["head_height"]) == (theoretical, height)
    assert screw["head_diameter"] > actual  # so that a countersink cut to it never lets the head stand proud


@pytest.mark.parametrize("name", [n for n, item in items("screws").items() if item["head"] == "countersunk"])
def test_a_sharp_90_degree_cone_is_as_deep_as_it_is_wider_than_its_thread_a_side(name: str) -> None:
    # geometry: depth = (dk theoretical - d) / 2, which is the standards' own k max
    screw = items("screws")[name]
    assert screw["head_height"] == pytest.approx((screw["head_diameter"] - float(screw["thread"][1:])) / 2, abs=1e-9)


def test_every_thread_has_every_head() -> None:
    standards = ("ISO 7380-1", "ISO 7380-2", "ISO 7045", "ISO 4762", "ISO 10642", "ISO 7046-2")
    assert {s: list(series(s)) for s in standards} == {s: list(PITCHES) for s in standards}
    assert len(items("screws")) == len(standards) * len(PITCHES)


def test_a_screw_is_named_by_its_standard_and_thread() -> None:
    plain = {"ISO 7380-1": "ISO 7380", "ISO 7046-2": "ISO 7046"}
    for name, screw in items("screws").items():
        standard = plain.get(screw["standard"], screw["standard"])
        assert name == f"{standard} {screw['thread']}".lower().replace(" ", "-")


# --- screw lengths ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("standard", "key", "name", "group"),
    [
        ("ISO 7380-1", "iso7380_1", "button_head_parameters", "iso7380_1"),
        ("ISO 7380-2", "iso7380_2", "button_head_with_collar_parameters", "iso7380_2"),
        ("ISO 4762", "iso4762", "socket_head_cap_parameters", "iso4762"),
        ("ISO 10642", "iso10642", "countersunk_head_parameters", "iso10642"),
        ("ISO 7046-2", "iso7046", "countersunk_head_parameters", "iso7046"),
    ],
)
def test_lengths_are_all_the_preferred_ones_in_the_standards_range(
    standard: str, key: str, name: str, group: str
) -> None:
    preferred = [float(n) for n in table("nominal_screw_lengths", "Screw_Type")[key]["Nominal_Sizes"].split(",")]
    for thread, screw in series(standard).items():
        row = table(name)[pitched(thread)]
        short, long = float(row[f"{group}:short"]), float(row[f"{group}:long"])
        assert screw["lengths"] == [n for n in preferred if short <= n <= long], thread


def test_iso_7045_lengths_are_preferred_ones() -> None:
    # its range by size is from memory, so only that every length exists and none beyond its sister ISO 14583
    preferred = table("nominal_screw_lengths", "Screw_Type")["iso7045"]["Nominal_Sizes"].split(",")
    for thread, screw in series("ISO 7045").items():
        row = table("pan_head_parameters")[pitched(thread)]
        assert {f"{n:g}" for n in screw["lengths"]} <= set(preferred)
        assert float(row["iso14583:short"]) <= min(screw["lengths"]) < max(screw["lengths"])
        assert max(screw["lengths"]) <= float(row["iso14583:long"])


@pytest.mark.parametrize("family", ["screws", "thread-forming-screws"])
def test_lengths_rise(family: str) -> None:
    for name, screw in items(family).items():
        assert all(a < b for a, b in pairwise(screw["lengths"])), name


# --- washers and nuts ------------------------------------------------------------------------------------------------

# product grade A: tolerance on a washer's thickness by its nominal; bd_warehouse gives nominal + tolerance
THICKNESS_TOLERANCE = {0.5: 0.05, 0.8: 0.1, 1.0: 0.1, 1.6: 0.2, 2.0: 0.2}


@pytest.mark.parametrize("thread", PITCHES)
def test_plain_washers_are_iso_7089(thread: str) -> None:
    row, washer = table("plain_washer_parameters")[thread], items("washers")[f"iso-7089-{thread.lower()}"]
    assert (washer["inside"], washer["outside"]) == (float(row["iso7089:d1"]), float(row["iso7089:d2"]))
    greatest = washer["thickness"] + THICKNESS_TOLERANCE[washer["thickness"]]
    assert greatest == pytest.approx(float(row["iso7089:h"]), abs=1e-9)


@pytest.mark.parametrize("thread", PITCHES)
def test_large_washers_are_iso_7093(thread: str) -> None:
    row, washer = table("plain_washer_parameters")[thread], items("washers")[f"iso-7093-{thread.lower()}"]
    assert (washer["inside"], washer["outside"]) == (float(row["iso7093:d1"]), float(row["iso7093:d2"]))
    # M5 stands as 1.4 in bd_warehouse, which looks like DIN 9021; ISO 7093-1 has 1.0, greatest 1.1
    expected = 1.1 if thread == "M5" else float(row["iso7093:h"])
    assert washer["thickness"] + THICKNESS_TOLERANCE[washer["thickness"]] == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(("thread", "nominal"), [("M5", 2.0), ("M6", 2.0), ("M8", 3.0)])
def test_extra_large_washers_are_iso_7094(thread: str, nominal: float) -> None:
    # nominal thickness as in FreeCAD_FastenersWB iso7094def; this rougher grade's greatest is larger
    row, washer = table("plain_washer_parameters")[thread], items("washers")[f"iso-7094-{thread.lower()}"]
    assert (washer["inside"], washer["outside"]) == (float(row["iso7094:d1"]), float(row["iso7094:d2"]))
    assert washer["thickness"] == nominal < float(row["iso7094:h"])


def test_all_washers_are_checked_above() -> None:
    expected = [f"iso-{s}-{t.lower()}" for s in (7089, 7093) for t in PITCHES] + [f"iso-7094-m{d}" for d in (5, 6, 8)]
    assert list(items("washers")) == expected


@pytest.mark.parametrize("name", items("throughs"))
def test_nuts_are_iso_4032(name: str) -> None:
    nut = items("throughs")[name]
    row = table("hex_nut_parameters")[pitched(nut["thread"])]
    assert (nut["nut_across"], nut["nut_height"]) == (float(row["iso4032:s"]), float(row["iso4032:m"]))
