"""Rings of the library to read back, each planned and built once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_ring
from mounts.kinds.ring.values import RingPlan
from mounts.load.resolve.job import load_job
from mounts.shape.recipe import Feature, Recipe

JOBS = Path(__file__).parents[2] / "profiles" / "jobs"
SEGMENTS = 96  # chords of a large circle: enough to read back, and quick
GOOD = ("linnet-woofer", "linnet-front-flush", "linnet-cargo-glass", "linnet-rear-three-holes", "linnet-slider-oblong")


@dataclass(frozen=True)
class Ring:
    """A job of one side, its plan, and its part by the mesh kernel."""

    job: RingJob
    plan: RingPlan
    part: Part

    @property
    def recipe(self) -> Recipe:
        """As the shape stage draws it."""
        return draw_ring(self.plan).recipe


@cache
def ring(name: str) -> Ring:
    """The left side of a job of the library."""
    job = load_job(JOBS / f"{name}.yaml")[0]
    plan = plan_ring(job)
    return Ring(job, plan, mesh.build(draw_ring(plan).recipe, SEGMENTS))


def redrawn(made: Ring, name: str, *bodies: object) -> Part:
    """The ring with the bodies of one feature replaced."""
    features = tuple(
        Feature(one.ident, bodies, one.cut) if one.ident.label == name else one  # type: ignore[arg-type]
        for one in made.recipe.features
    )
    return mesh.build(replace(made.recipe, features=features), SEGMENTS)


def feature(made: Ring, name: str) -> Feature:
    """A feature of the ring's recipe."""
    return next(one for one in made.recipe.features if one.ident.label == name)
