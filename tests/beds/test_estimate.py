"""Layers against formulas of plain solids, and estimates where they are exact."""

from __future__ import annotations

import sys
from math import pi
from pathlib import Path

import numpy as np
import pytest
import trimesh

from mounts.beds.estimate import MASS_ERROR_PCT, estimate_print, line_spacing, slice_layers
from mounts.load.resolve.library import Library

sys.path.insert(0, str(Path(__file__).parent))
from solids import block, disc, ring

ROOT = Path(__file__).parents[2]
LIBRARY = Library(ROOT / "profiles")
PRINTER = LIBRARY.load("printer", ROOT / "profiles" / "printers" / "bed-250.yaml").value
ASA = LIBRARY.load("material", ROOT / "profiles" / "materials" / "asa.yaml").value
FACETS = 96 / pi * np.sin(pi / 96)  # length of the outline of solids.py's circles, of the true one


def test_every_layer_of_a_tube_has_its_area_and_both_its_edges():
    piece = ring("tube", 60, 40, 12)
    layers = slice_layers(piece.vertices, piece.triangles, 0.2, 2.0, 5)
    assert len(layers.area) == 60
    np.testing.assert_allclose(layers.edge, pi * 100 * FACETS, rtol=1e-6)
    area = 96 / 2 * np.sin(2 * pi / 96) * (30**2 - 20**2)
    np.testing.assert_allclose(layers.area, area, rtol=1e-6)
    np.testing.assert_allclose(layers.skin[:5], area, rtol=1e-6)
    np.testing.assert_allclose(layers.skin[-5:], area, rtol=1e-6)
    assert (layers.skin[5:-5] == 0).all()


def test_the_layers_of_any_solid_add_up_to_its_volume():
    """The midpoint rule on a cone's areas errs by a 4n²-th part: trimesh tells the volume."""
    cone = trimesh.creation.cone(30, 40, sections=64)
    layers = slice_layers(np.asarray(cone.vertices), np.asarray(cone.faces), 0.2, 2.0, 5)
    assert layers.area.sum() * 0.2 == pytest.approx(cone.volume, rel=1e-4)


def test_a_step_between_two_discs_is_skin_under_the_lower_one_only():
    lower, upper = disc("", 60, 10), disc("", 40, 20)
    mesh = trimesh.boolean.union([trimesh.Trimesh(p.vertices, p.triangles) for p in (lower, upper)], engine="manifold")
    layers = slice_layers(np.asarray(mesh.vertices), np.asarray(mesh.faces), 0.2, 2.0, 5)
    circle = 96 / 2 * np.sin(2 * pi / 96)
    np.testing.assert_allclose(layers.skin[45:50], circle * (30**2 - 20**2), rtol=1e-6)
    assert (layers.skin[50:95] == 0).all()


def test_a_slope_is_skin_only_beyond_its_walls():
    """Over five layers of 0.2 a slope of 45° runs 1 mm, which walls of 2 mm cover; one of 1:10 runs 10."""
    steep, flat = (
        trimesh.convex.convex_hull([(x, y, z) for y in (0, 50) for x, z in ((0, 0), (100, 0), (100, h), (0, 0.5))])
        for h in (100.5, 10.5)
    )
    skins = [slice_layers(np.asarray(m.vertices), np.asarray(m.faces), 0.2, 2.0, 5).skin for m in (steep, flat)]
    assert skins[0][10:].sum() == pytest.approx(0.0, abs=1e-6)
    assert skins[1].sum() == pytest.approx(skins[0][:5].sum() + 5 * 0.8 * 100 * 50, rel=0.02)


def test_a_thin_tube_is_all_walls_and_weighs_what_its_volume_does():
    piece = ring("tube", 40, 37, 20)
    told = estimate_print(piece.vertices, piece.triangles, PRINTER, ASA)
    volume = 96 / 2 * np.sin(2 * pi / 96) * (20**2 - 18.5**2) * 20
    assert told.grams == pytest.approx(volume * ASA.density / 1e6, rel=1e-6)


def test_solid_weighs_what_its_volume_does_within_the_stated_error():
    piece = block("block", 60, 40, 15)
    full = estimate_print(piece.vertices, piece.triangles, PRINTER.model_copy(update={"infill_pct": 100.0}), ASA)
    assert full.grams == pytest.approx(60 * 40 * 15 * ASA.density / 1e6, rel=2 * MASS_ERROR_PCT / 100)


def test_time_rises_as_speeds_fall_and_money_is_material_and_machine():
    piece = block("block", 60, 40, 15)
    keys = ("outer", "inner", "solid", "infill", "first")
    slow = PRINTER.speeds.model_copy(update={key: getattr(PRINTER.speeds, key) / 2 for key in keys})
    usual, halved = (
        estimate_print(piece.vertices, piece.triangles, printer, ASA)
        for printer in (PRINTER, PRINTER.model_copy(update={"speeds": slow}))
    )
    assert 1.7 < halved.hours / usual.hours < 2.0  # stops and travels do not double
    assert usual.cost is None
    priced = PRINTER.model_copy(update={"hourly": 2.0}), ASA.model_copy(update={"price": 30.0})
    told = estimate_print(piece.vertices, piece.triangles, *priced)
    assert told.cost == pytest.approx(told.grams * 0.03 + told.hours * 2.0, rel=1e-12)


def test_lines_lie_closer_than_they_are_wide():
    """A line of 0.45 × 0.2 with round sides: 0.45 − 0.2·(1 − π/4), as slicers have it (common practice, no source)."""
    assert line_spacing(PRINTER) == pytest.approx(0.45 - 0.2 * (1 - pi / 4))
