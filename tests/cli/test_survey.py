"""`mounts survey`: what is told, and what is drawn at 1:1."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from click.testing import CliRunner
from PIL import Image

from mounts.cli import commands

PROFILES = Path(__file__).parents[2] / "profiles"


def survey(*words: str):
    return CliRunner().invoke(commands, ["survey", *words, "--library", str(PROFILES)], standalone_mode=False)


@pytest.mark.parametrize(
    "panel", ["linnet-hatch", "linnet-front-door", "linnet-bulkhead", "linnet-kick", "linnet-sail"]
)
def test_every_way_of_telling_is_shown_and_drawn(tmp_path, panel):
    ran = survey(panel, "--out", str(tmp_path))
    assert ran.exception is None
    assert ran.return_value == 0
    assert ran.stdout.startswith(f"{panel}: OK")
    assert len(ran.stdout.splitlines()) <= 22 and max(map(len, ran.stdout.splitlines()[:-3])) <= 80
    assert {file.name for file in (tmp_path / panel).iterdir()} == {"pattern.png", "pattern.pdf"}


def test_a_nearly_regular_pattern_is_warned_of(tmp_path):
    told = survey("linnet-hatch", "--out", str(tmp_path)).stdout
    assert "reading  " not in told and "reading  " in survey("linnet-hatch", "--out", str(tmp_path), "--all").stdout
    assert "WARN  nearly, but not, a regular bolt circle: 4 on 163.4" in told
    assert "the readings agree: the worst is 1.6 sd off" in told


def test_the_regular_circle_beside_three_holes_is_drawn_whole(tmp_path):
    """Three uneven holes, none at the top: the circle reaches higher than they and the opening do."""
    shutil.copytree(PROFILES, tmp_path / "profiles")
    at = {"A": [-69.8, 44.5], "B": [67.3, 49.5], "C": [8.9, -77.5]}
    text = "kind: panel\nname: low\nside: left\nopening: {round: 90}\nface: {of: steel, thickness: 1}\n"
    text += f"fixings: {{hole: 7, at: {json.dumps(at)}}}\n"
    (tmp_path / "profiles" / "panels" / "low.yaml").write_text(text, "utf-8")
    ran = CliRunner().invoke(
        commands, ["survey", "low", "--library", str(tmp_path / "profiles"), "--out", str(tmp_path)]
    )
    assert "nearly, but not, a regular bolt circle" in ran.stdout
    picture = np.asarray(Image.open(tmp_path / "low" / "pattern.png").convert("RGB")).astype(int)
    orange = np.argwhere(np.abs(picture - (196, 124, 20)).max(axis=2) < 12)
    assert len(orange) > 500
    assert orange.min() > 5 and orange[:, 0].max() < picture.shape[0] - 100


def test_json_holds_all_of_it_and_nothing_else(tmp_path):
    ran = survey("linnet-hatch", "--out", str(tmp_path), "--json")
    tree = json.loads(ran.stdout)
    assert (tree["schema"], tree["panel"], tree["told_by"]) == (1, "linnet-hatch", "distances")
    assert [fixing["name"] for fixing in tree["fixings"]] == ["A", "B", "C", "D"]
    assert np.array(tree["covariance"]).shape == (8, 8)
    for k, fixing in enumerate(tree["fixings"]):
        block = np.array(tree["covariance"])[2 * k : 2 * k + 2, 2 * k : 2 * k + 2]
        axes = sorted(2 * np.sqrt(np.linalg.eigvalsh(block)))
        assert [fixing["ellipse"]["short"], fixing["ellipse"]["long"]] == pytest.approx(axes, abs=2e-3)
    assert tree["bolt_circle"]["verdict"] == "nearly regular"
    assert tree["disagreement"] is None
    assert [one["label"] for one in tree["readings"][:2]] == ["A-B", "B-C"]


def test_readings_that_disagree_end_with_1_and_are_named(tmp_path):
    text = (PROFILES / "panels" / "linnet-hatch.yaml").read_text("utf-8")
    folder = tmp_path / "profiles" / "panels"
    folder.mkdir(parents=True)
    file = folder / "linnet-hatch.yaml"
    file.write_text(text.replace("A-C: 155.7", "A-C: 157.4"), "utf-8")
    ran = CliRunner().invoke(commands, ["survey", str(file), "--out", str(tmp_path / "out")], standalone_mode=False)
    assert ran.return_value == 1
    assert "WRONG: " in ran.stdout
    assert "A-C reads 157.4, the others make it 155.4" in " ".join(ran.stdout.split())


def test_the_page_is_at_full_size(tmp_path):
    """The opening of 120 on the page measures 120 mm: its dark pixels at 300 dpi."""
    survey("linnet-hatch", "--out", str(tmp_path))
    page = pypdfium2.PdfDocument(tmp_path / "linnet-hatch" / "pattern.pdf")[0]
    grey = np.asarray(page.render(scale=300 / 72).to_pil().convert("L"))
    per_mm = 300 / 25.4
    dark = grey < 128
    # the row through the opening's centre: its cross is the longest horizontal run of 12 mm
    rows = [y for y in range(len(dark)) if _longest(dark[y]) > 11.5 * per_mm and _longest(dark[y]) < 12.5 * per_mm]
    edges = np.flatnonzero(dark[int(np.median(rows)) + 12])
    assert np.ptp(edges) / per_mm == pytest.approx(120.35, abs=0.3)  # and a line of 0.35


def _longest(row: np.ndarray) -> int:
    ends = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
    return int(max(ends[1::2] - ends[::2], default=0))
