"""`mounts card`, `mounts new panel --pins`, `mounts coupon` and `mounts build --dummy`, as a person types them."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pypdfium2
import pytest


@pytest.mark.parametrize(("words", "name"), [([], "measuring-card.pdf"), (["--pins"], "measuring-card-pins.pdf")])
def test_a_card_is_written(run, tmp_path, words, name):
    done = run("card", *words, "--paper", "letter", "--out", tmp_path)
    assert done.code == 0
    assert len(pypdfium2.PdfDocument(tmp_path / name)) == 2


def test_a_panel_with_pins_loads_as_it_is_written(run, tmp_path):
    shutil.copytree("profiles", tmp_path / "profiles")
    own = tmp_path / "profiles"
    assert run("new", "panel", "my-grille", "--pins", "--library", own).code == 0
    assert "my-grille" in run("list", "panel", "--check", "--library", own).out
    assert run("list", "panel", "--check", "--library", own).code == 0
    assert run("new", "speaker", "x", "--pins", "--library", own).code == 2


def test_readings_go_into_the_printer_s_file_or_are_only_shown(run, tmp_path):
    shutil.copytree("profiles", tmp_path / "profiles")
    own, file = tmp_path / "profiles", tmp_path / "readings.yaml"
    printer = own / "printers" / "bed-250.yaml"
    before = printer.read_text("utf-8")
    file.write_text(
        "kind: coupon\nprinter: bed-250\nmaterial: petg\nbars: {x: 119.7, y: 119.8}\nribs:\n  1.2:\n", "utf-8"
    )
    shown = run("coupon", "bed-250", "--readings", file, "--only-show", "--library", own)
    assert (shown.code, printer.read_text("utf-8")) == (0, before)
    assert "would go into" in shown.out
    kept = run("coupon", "bed-250", "--readings", file, "--library", own, "--json")
    told = json.loads(kept.out)
    entries = {
        "shrink_pct": "0.21",
        "shrink_sd_pct": "0.09",
    }  # two bars read to 0.05, an outside's spread of 0.1 in 120
    assert told["entries"] == [{"key": key, "material": "petg", "value": value} for key, value in entries.items()]
    assert "shrink_pct: {petg: 0.21}" in printer.read_text("utf-8")
    assert run("list", "printer", "--check", "--library", own).code == 0


def test_wrong_words_are_told(run, tmp_path):
    assert run("coupon", "bed-250", "--only-show").code == 2
    assert 'no printer "bed-25"' in run("coupon", "bed-25", "--out", tmp_path).err
    assert "is no heat-set insert" in run("coupon", "bed-250", "--insert", "m4", "--out", tmp_path).err
    assert run("build", "profiles/jobs/linnet-woofer.yaml", "--dummy", "--first-check").code == 2
    done = run("build", "profiles/jobs/linnet-dash-tweeter-press.yaml", "--dummy", "--out", tmp_path)
    assert (done.code, list(Path(tmp_path).iterdir())) == (2, [])
    assert "only a printed ring has a dummy" in done.err
