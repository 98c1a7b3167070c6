"""Estimate of a print in grams, hours and money, from its layers and the printer's own settings.

Each layer is walls, solid skin and infill. Walls are laid along the edge, inner ones too; the rest of the area is solid
where the shell wants it and infill elsewhere. The factors below stand for what a slicer adds: infill that overlaps the
walls, solid areas that reach under their neighbours, the way between two lines. They were fitted to the 19 printed jobs
of our own library by a real slicer in two settings that differ in layer, walls, infill and speed;
there the mass differed by 2.5 % and the time by 6.3 % (one standard deviation), in a third setting that was not used
for the fit by 2.7 and 9 %; the worst were ports of a few grams, 10 and 25 %. `tests/validation/test_estimate.py`
compares them with that slicer again where it is installed.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray

from mounts.beds.slices import Slices, slice_layers
from mounts.findings.report import Estimate
from mounts.load.models.workshop import Material, Printer

SOLID = 1.34  # solid skin laid, of that computed
SPARSE = 0.91  # infill laid, of that computed
OVERLAP = 0.46  # of a line's width by which infill runs into the walls
WIDE = 1.125  # width of a line, of the nozzle's
PACE = 0.93  # time of the lines, of that at full speed
PER_LAYER = 3.3  # seconds for each layer's travels
PER_LINE = 2.0  # of the time to stop and start again, for each line of infill
BAND = 1.5  # mm; what the walls leave of less width is filled along, not across
MASS_ERROR_PCT = 3.0
TIME_ERROR_PCT = 10.0


@dataclass(frozen=True, slots=True, eq=False)
class _LayerAreas:
    """Areas laid in each layer, (n,) mm² of cross-section seen from above."""

    slices: Slices
    walls: NDArray[np.float64]
    solid: NDArray[np.float64]
    sparse: NDArray[np.float64]


def estimate_print(
    vertices: NDArray[np.float64], triangles: NDArray[np.int64], printer: Printer, material: Material
) -> Estimate:
    """Return grams, hours and money for one part.

    Args:
        vertices: (n, 3) mm, in print pose, lowest point at z = 0.
        triangles: (m, 3), counter-clockwise seen from outside.
        printer: its layers, walls, infill and speeds.
        material: its density and price.
    """
    laid = _layer_areas(vertices, triangles, printer)
    volume = float((laid.walls + laid.solid + laid.sparse).sum()) * printer.layer
    grams = volume * material.density / 1e6
    hours = _print_seconds(laid, printer) / 3600
    return Estimate(grams, hours, _cost(grams, hours, printer, material), MASS_ERROR_PCT, TIME_ERROR_PCT)


def _layer_areas(vertices: NDArray[np.float64], triangles: NDArray[np.int64], printer: Printer) -> _LayerAreas:
    """Return the areas of walls, solid skin and infill in each layer."""
    walls = printer.walls * line_spacing(printer)
    slices = slice_layers(vertices, triangles, printer.layer, walls, printer.top_bottom)
    wall = np.minimum(slices.area, slices.edge * walls)
    inner = slices.area - wall
    share = np.divide(inner, slices.area, out=np.zeros_like(inner), where=slices.area > 0)
    skin = np.minimum(inner, slices.skin * share)
    overlap = np.where(inner > 1.0, OVERLAP * WIDE * printer.nozzle * slices.edge, 0.0)
    infill = printer.infill_pct / 100
    return _LayerAreas(slices, wall, SOLID * skin, SPARSE * infill * (inner - skin) + overlap)


def line_spacing(printer: Printer) -> float:
    """Return the distance between the middles of two lines, mm: a line with round sides covers less than its width."""
    return WIDE * printer.nozzle - printer.layer * (1 - pi / 4)


def _print_seconds(laid: _LayerAreas, printer: Printer) -> float:
    """Return the time of all lines at their speeds, with starts, stops and travels, s."""
    speeds, apart = printer.speeds, line_spacing(printer)
    outer = laid.slices.edge
    inner = np.maximum(laid.walls / apart - outer, 0.0)
    lines = outer / speeds.outer + inner / speeds.inner + laid.solid / apart / speeds.solid
    lines += laid.sparse / apart / speeds.infill
    first = float(laid.slices.area[0]) / apart * max(0.0, 1 / speeds.first - 1 / speeds.inner)
    band = 2 * (laid.slices.area - laid.walls) / np.maximum(outer, 1e-9)  # width of what the walls leave
    chord = np.maximum(pi * band / 2, 1.0)  # mean chord of a convex region: π area / edge
    count = float(np.where(band > BAND, (laid.solid + laid.sparse) / apart / chord, 0.0).sum())
    stops = PER_LINE * count * (speeds.solid + speeds.infill) / 2 / speeds.acceleration
    return PACE * (float(lines.sum()) + first) + PER_LAYER * len(outer) + stops


def _cost(grams: float, hours: float, printer: Printer, material: Material) -> float | None:
    """Return the cost of material and machine; None where neither has a price."""
    if material.price is None and printer.hourly is None:
        return None
    return grams / 1000 * (material.price or 0.0) + hours * (printer.hourly or 0.0)
