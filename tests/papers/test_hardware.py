"""The hardware list against the findings, tables of standards and a geometry library."""

from __future__ import annotations

import csv
from dataclasses import replace
from importlib import resources, util

import pytest
import shapely
from shapely.geometry import Point

from mounts.kinds.ring.papers import torque_words
from mounts.kinds.ring.steps import ring_steps
from mounts.papers.chapter import make_chapter
from mounts.papers.hardware import KEYS, SOCKET_KEYS, bought_items, driver_for, hardware, sum_items, tools
from mounts.papers.record import make_record, record_blocks
from mounts.papers.values import TableBlock


def test_a_rings_list_is_what_its_findings_speak_of(ring):
    counts = bought_items(hardware(ring))
    assert counts == {
        "rivet-nut-m5": 4,
        "iso-7380-m5 × 16": 4,
        "iso-7093-m5": 4,
        "insert-m4-short": 4,
        "iso-7380-m4 × 10": 4,
    }
    said = " ".join(finding.what for finding in ring.report.findings)
    assert "iso-7380-m5 × 16" in said
    assert "iso-7380-m4 × 10" in said


def test_two_sides_are_bought_together(ring):
    whole = {item.key: item.amount for item in sum_items([*hardware(ring), *hardware(ring)])}
    assert whole["rivet-nut-m5"] == "8"


def test_a_gaskets_length_is_that_of_its_middle_line(ring):
    """Opening 120, lip 1.2, strip 6 wide: a circle of 128.4; by shapely's buffer, and 10 for the joint."""
    strip = next(item for item in hardware(ring) if item.use == "between mount and panel")
    line = shapely.boundary(Point(0, 0).buffer(64.2, quad_segs=256))
    assert strip.count == pytest.approx(line.length + 10, abs=0.05)
    assert strip.amount == "420 mm"


def test_keys_by_the_standards_tables():
    """Key sizes of ISO 7380-1, ISO 10642 and ISO 4762: column s, the least width of the socket, of bd_warehouse."""
    if util.find_spec("bd_warehouse") is None:
        pytest.skip("needs bd_warehouse's tables")
    for table, column, keys in (
        ("button_head", "iso7380_1:s", KEYS),
        ("countersunk_head", "iso10642:s", KEYS),
        ("socket_head_cap", "iso4762:s", SOCKET_KEYS),
    ):
        text = (resources.files("bd_warehouse") / "data" / f"{table}_parameters.csv").read_text()
        rows = [{name.strip(): value for name, value in row.items()} for row in csv.DictReader(text.splitlines())]
        widths = {row["Size"].split("-")[0]: row[column] for row in rows if row[column]}
        for thread, key in keys.items():
            assert float(key) <= float(widths[thread]) <= float(key) + 0.15, (table, thread)


def test_a_key_turns_its_own_head(ring):
    assert driver_for(ring.job.fix_to_panel.screw) == "hexagon key 3"
    assert driver_for(ring.job.fix_speaker.screw) == "hexagon key 2.5"
    listed = tools(ring)
    assert any("hexagon key 3," in tool for tool in listed)
    assert len(listed) == len(set(listed))


def test_torque_is_the_least_of_plastic_and_nut(ring):
    """1.0 N·m for M5 on plastic under 15 mm (common practice); a supplier's sheet gives the M5 nut 1.5 in steel."""
    assert ring.job.fix_to_panel.hardware.torque == 1.5
    assert torque_words(ring.job, ring.plan) == "1 N·m (bounded by the plastic)"


def test_a_pressed_cup_takes_no_screw_and_a_spacer_its_device(cup, spacer):
    assert bought_items(hardware(cup)) == {}
    assert [item.count for item in hardware(spacer)] == [1.0]


def test_no_gasket_is_spoken_of_that_is_not_there(ring):
    bare = replace(ring, job=replace(ring.job, gaskets=ring.job.gaskets.model_copy(update={"base": None})))
    for made, count in ((ring, 2), (bare, 0)):  # laid into its groove, and the face wiped for it
        said = [step.text for steps in ring_steps(made) for step in steps.steps]
        assert sum("gasket" in text and "speaker gasket" not in text for text in said) == count
        assert any("New base gasket" in text for text in make_record(made).out) == bool(count)


def test_a_return_sheet_has_no_table_without_a_row(cup, ring):
    for made in (cup, ring):
        assert all(block.rows for block in record_blocks([make_chapter(made)]) if isinstance(block, TableBlock))
