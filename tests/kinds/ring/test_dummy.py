"""The dummy: light, printable, and with the hull of mount and speaker, so that it meets whatever they would meet."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from mounts import pipeline, trials
from mounts.checks.check import _meant
from mounts.checks.printing.findings import bed_finding
from mounts.errors import InputError
from mounts.findings.report import Verdict
from mounts.kernels import mesh
from mounts.kinds.ring.dummy import plan_dummy
from mounts.kinds.ring.dummy_shape import draw_dummy
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.surroundings import surroundings
from mounts.load.resolve.job import load_job
from mounts.shape.recipe import Feature, Recipe
from tests.idents import ident

PROFILES = Path(__file__).parents[3] / "profiles"
SPEAKER = ("body", "flange", "surround", "cone at full travel", "speaker screws")
JOBS = ["linnet-woofer", "linnet-front-collar", "linnet-front-flush", "linnet-rear-three-holes", "linnet-slider-oblong"]


@lru_cache
def made(name: str) -> tuple[Any, Any, np.ndarray, float]:
    """Job, plan, corners and volume of both halves of a dummy, by the mesh kernel."""
    job = load_job(PROFILES / "jobs" / f"{name}.yaml", PROFILES)[0]
    plan = plan_ring(job)
    parts = [mesh.build(scene.recipe, 192) for scene, _ in draw_dummy(plan_dummy(job, plan)).values()]
    assert [(part.solids, part.shells) for part in parts] == [(1, 1)] * len(parts)
    return job, plan, np.concatenate([part.vertices for part in parts]), sum(part.volume for part in parts)


def real(job: Any, plan: Any) -> np.ndarray:
    """Corners of the mount and of the speaker that it carries, as the checks know them."""
    kind = pipeline.kind_of(job)
    bare = replace(plan, labels=())
    found = [mesh.build(kind.shape(bare).recipe, 192).vertices]
    for envelope in surroundings(job, plan):
        if envelope.ident.label in SPEAKER:
            feature = Feature(envelope.ident, envelope.bodies[:1])
            for body in envelope.bodies:
                recipe = Recipe(envelope.ident.label, (replace(feature, bodies=(body,)),), 0)
                found.append(mesh.build(recipe, 192).vertices)
        if envelope.ident.label == "terminals":  # they begin on the axis; only what stands out of the body counts
            found += [mesh.build(Recipe("t", (Feature(ident("t"), (b,)),), 0), 192).vertices for b in envelope.bodies]
    return np.concatenate(found)


def ways() -> np.ndarray:
    """600 directions evenly over the sphere (a golden spiral)."""
    k = np.arange(600) + 0.5
    z, turn = 1 - 2 * k / 600, np.pi * (1 + 5**0.5) * k
    flat = np.sqrt(1 - z**2)
    return np.column_stack([flat * np.cos(turn), flat * np.sin(turn), z])


@pytest.mark.parametrize("name", JOBS)
def test_its_hull_is_that_of_mount_and_speaker(name: str) -> None:
    job, plan, corners, _ = made(name)
    reach, true = (ways() @ points.T for points in (corners, real(job, plan)))
    off = reach.max(axis=1) - true.max(axis=1)
    assert off.max() < 0.02  # it reaches beyond them nowhere
    assert off.min() > -0.02
    glass, cone = -np.asarray(plan.seat.frame.z), np.asarray(plan.seat.frame.z)
    for way in (glass, cone, (0.0, 0.0, -1.0), (0.0, 0.0, 1.0)):
        assert (corners @ way).max() == pytest.approx((real(job, plan) @ way).max(), abs=1e-3)


@pytest.mark.parametrize("name", JOBS)
def test_it_takes_less_than_half_of_the_mount_s_plastic(name: str) -> None:
    job, plan, _, volume = made(name)
    whole = mesh.build(pipeline.kind_of(job).shape(plan).recipe, 96).volume
    assert volume < 0.5 * whole


def test_it_has_the_holes_of_the_panel() -> None:
    _, plan, corners, _ = made("linnet-woofer")
    for fixing in plan.fixings:
        away = np.hypot(*(corners[:, :2] - fixing.at).T)
        assert away.min() == pytest.approx(fixing.hole / 2, abs=0.02)


def test_both_kernels_agree_and_it_prints_without_support(tmp_path: Path) -> None:
    job = load_job(PROFILES / "jobs" / "linnet-woofer.yaml", PROFILES)[0]
    report, folder = trials.write_dummies([job], tmp_path, pipeline.Wish(("stl", "3mf")))
    assert [(f.code, f.what) for part in report.parts for f in part.findings if f.verdict is not Verdict.PASS] == []
    assert sorted(path.name for path in folder.iterdir()) == [
        "left.dummy-front.3mf",
        "left.dummy-front.stl",
        "left.dummy-rear.3mf",
        "left.dummy-rear.stl",
    ]
    for path in folder.glob("*.stl"):
        corners = np.frombuffer(
            path.read_bytes()[84:], np.dtype([("n", "<f4", 3), ("c", "<f4", (3, 3)), ("a", "<u2")])
        )["c"]
        assert corners[..., 2].min() == pytest.approx(0.0, abs=1e-4)  # each half lies on the bed


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("linnet-dash-tweeter-press", "for a cup use the part itself"),
        ("linnet-port-round", "for a spacer use its first-check slice"),
        ("linnet-front-sheet", "for a ring cut from sheet use its template"),
    ],
)
def test_others_are_refused_with_what_to_use_instead(name: str, said: str) -> None:
    job = load_job(PROFILES / "jobs" / f"{name}.yaml", PROFILES)[0]
    with pytest.raises(InputError, match=said):
        trials.make_dummies(job)


def test_a_dummy_too_large_for_its_bed_can_be_taped_together():
    """The halves of the tailgate's ring go on a bed of 210, the dummy of the whole does not."""
    job = load_job(PROFILES / "jobs" / "linnet-tailgate-halves.yaml")[0]
    scene, _ = draw_dummy(plan_dummy(job, plan_ring(job)))["front"]
    points = mesh.build(replace(scene.recipe, genus=0), 192).vertices
    told = _meant(bed_finding(points[:, :2], float(np.ptp(points[:, 2])), job.printer))
    assert told.verdict is Verdict.FAIL
    assert told.advice == (
        "it needs 234 × 234 × 46, the bed of bed-210 has 210 × 210 × 230; take a larger printer, "
        "or cut it in the slicer and tape the pieces together: it carries nothing"
    )
