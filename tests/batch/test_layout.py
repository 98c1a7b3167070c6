"""Kits of the library on their beds, read back from the 3MF by lib3mf, the 3MF Consortium's own library."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from pathlib import Path

import lib3mf
import manifold3d
import numpy as np
import pytest

from mounts import pipeline
from mounts.batch.bundle import pack_bundle
from mounts.batch.kit import divide_kit
from mounts.batch.layout import beds_of
from mounts.batch.run import Result, Shop, key_of
from mounts.findings.report import Estimate, PartReport
from mounts.kinds.kind import kind_called, kind_of
from mounts.load.resolve.kit import load_kit
from mounts.load.resolve.library import Library
from mounts.write.output import Wish

ROOT = Path(__file__).parents[2]
KITS = Library(ROOT / "profiles").names("kit")


def quickly(job):
    """A part by the quick kernel, as a batch would have it."""
    kind = kind_of(job)
    plan = kind.plan(job)
    part = pipeline.preview(job, 32)
    pose = np.asarray(kind.pose(plan))
    solid = (part.vertices @ pose[:3, :3].T + pose[:3, 3], part.triangles)
    report = PartReport(job.side, (), estimate=Estimate(100.0, 2.0, None, 3.0, 7.0))
    bundle = pack_bundle(job.name, report, {}, solid if job.make == "print" else None)
    return Result(job, key_of(job, Wish(), "quick"), "made", bundle)


@pytest.fixture(scope="module", params=KITS)
def laid(request):
    """A kit with the layout of its parts and the files of its beds."""
    kit = load_kit(ROOT / "profiles" / "kits" / f"{request.param}.yaml")
    store = Memory()
    done = [quickly(part.job) for part in kit.parts]
    shop = Shop(None, store, "quick", 60.0)
    return kit, *beds_of(kit, done, shop), beds_of(kit, done, shop), store


class Memory(dict):
    """A store that counts what was found in it."""

    found = 0

    def recall(self, key):
        self.found += key in self
        return self.get(key)

    def keep(self, key, packed):
        self[key] = packed


def read(data):
    """Every placed solid of a 3MF: name, and its vertices and triangles where they lie on the bed."""
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(data)
    assert reader.GetWarningCount() == 0
    items = model.GetBuildItems()
    while items.MoveNext():
        item = items.GetCurrent()
        mesh = model.GetMeshObjectByID(item.GetObjectResourceID())
        assert mesh.IsManifoldAndOriented()
        fields = np.array(item.GetObjectTransform().Fields)  # four rows of three: a point is a row before it
        points = np.array([tuple(v.Coordinates) for v in mesh.GetVertices()]) @ fields[:3] + fields[3]
        yield mesh.GetName(), points, np.array([tuple(t.Indices) for t in mesh.GetTriangleIndices()])


def test_every_copy_of_every_printed_part_lies_on_a_bed_of_its_own_printer(laid):
    kit, layout, files, _, _ = laid
    wanted = {
        " ".join(filter(None, (job.name, job.side))): (copies, job.printer.name, job.material.name)
        for job, copies in ((part.job, part.pieces) for part in kit.parts)
        if job.make == "print"
    }
    found: dict[str, int] = {}
    for bed in layout.beds:
        assert all(wanted[name][1:] == (bed.printer, bed.material) for name, _ in bed.parts)
        names = [name for name, *_ in read(files[f"bed-{bed.number}.3mf"])]
        assert sorted(names) == sorted(name for name, count in bed.parts for _ in range(count))
        for name in names:
            found[name] = found.get(name, 0) + 1
        count = sum(count for _, count in bed.parts)
        assert (bed.estimate.grams, bed.estimate.hours, bed.estimate.cost) == (100.0 * count, 2.0 * count, None)
    large = {one.part for one in layout.too_large}
    assert found == {name: told[0] for name, told in wanted.items() if name not in large}


def test_on_a_bed_everything_stands_on_it_and_nothing_shares_room(laid):
    kit, layout, files, _, _ = laid
    printers = {part.job.printer.name: part.job.printer for part in kit.parts}
    for bed in layout.beds:
        solids = list(read(files[f"bed-{bed.number}.3mf"]))
        size = np.array(printers[bed.printer].bed)
        for _, points, _ in solids:
            low, high = points.min(axis=0), points.max(axis=0)
            assert low[2] == pytest.approx(0.0, abs=1e-4)
            assert (low[:2] >= kit.brim - 1e-4).all()
            assert (high <= size - [kit.brim, kit.brim, 0] + 1e-4).all()
        meshes = [manifold3d.Mesh(p.astype(np.float32), t.astype(np.uint32)) for _, p, t in solids]
        for one, other in combinations([manifold3d.Manifold(mesh) for mesh in meshes], 2):
            assert one.min_gap(other, kit.gap + 2 * kit.brim + 1) >= kit.gap + 2 * kit.brim - 1e-3


def test_the_second_time_nothing_is_laid_out_again(laid):
    _, layout, files, again, store = laid
    assert again == (layout, files)
    assert store.found == len(layout.beds) + len({(bed.printer, bed.material) for bed in layout.beds})


def test_a_part_made_anew_redraws_its_own_beds_alone():
    kit = load_kit(ROOT / "profiles" / "kits" / "linnet-minibus.yaml")
    done = [quickly(part.job) for part in kit.parts]
    store = Memory()
    shop = Shop(None, store, "quick", 60.0)
    before, files = beds_of(kit, done, shop)
    held = len(store)
    done[0] = replace(done[0], key="made anew, to the same shape")
    after, again = beds_of(kit, done, shop)
    assert (after, again) == (before, files)
    name = " ".join(filter(None, (done[0].job.name, done[0].job.part)))
    of_its_own = [bed for bed in before.beds if name in dict(bed.parts)]
    assert 0 < len(of_its_own) < len(before.beds)
    assert len(store) == held + 1 + len(of_its_own)  # the layout, and those beds


def test_a_part_too_large_for_its_printer_is_told_which_of_the_kits_would_hold_it():
    kit = load_kit(ROOT / "profiles" / "kits" / "linnet-minibus.yaml")
    part = kit.parts[0]
    small = part.job.printer.model_copy(update={"name": "small", "bed": (60.0, 200.0, 200.0)})
    low = small.model_copy(update={"name": "low", "bed": (400.0, 400.0, 10.0)})
    wide = small.model_copy(update={"name": "wide", "bed": (250.0, 200.0, 200.0)})
    done = [quickly(replace(part.job, printer=small))]
    for printers, holds in (((small, low), ""), ((small, low, wide), "wide")):
        laid, _ = beds_of(replace(kit, printers=printers, parts=(part,)), done, Shop(None, Memory(), "quick", 60.0))
        (one,) = laid.too_large
        assert (one.printer, laid.beds) == (holds, ())


def test_each_bed_has_a_picture(laid):
    _, layout, files, _, _ = laid
    for bed in layout.beds:
        assert files[f"bed-{bed.number}.png"].startswith(b"\x89PNG")
    assert set(files) == {name for bed in layout.beds for name in bed.files}


def test_a_ring_in_two_is_two_pieces_of_a_kit(tmp_path):
    file = tmp_path / "halved.yaml"
    file.write_text("kind: kit\nname: halved\njobs: [{job: linnet-tailgate-halves, quantity: 2}]\n", "utf-8")
    kit = divide_kit(load_kit(file, ROOT / "profiles"))
    assert [(part.job.part, part.copies) for part in kit.parts] == [("left.a", 2), ("left.b", 2)]
    assert len({key_of(part.job, Wish(), "mark") for part in kit.parts}) == 2
    again = divide_kit(kit)
    assert again.parts == kit.parts  # a half is not divided again


def test_a_board_that_is_cut_takes_a_foot_at_every_corner_in_every_vehicle(tmp_path):
    file = tmp_path / "boards.yaml"
    file.write_text("kind: kit\nname: boards\nvehicles: 3\njobs: [linnet-boot-board]\n", encoding="utf-8")
    board, foot = load_kit(file, ROOT / "profiles").parts
    given = board.job.feet.at
    assert (board.pieces, foot.pieces) == (3, 3 * (4 if given is None else len(given)))
    assert kind_called("foot", "print").plan(foot.job).count == foot.job.pieces


def test_a_job_of_a_kit_is_for_the_kits_vehicle(tmp_path):
    """The demo job was drawn for no. 7; its return sheet must lie in the vehicle that it is fitted to."""
    for told, vehicle in (("vehicle: Linnet no. 6\n", "Linnet no. 6"), ("", "Linnet minibus no. 7 (invented)")):
        file = tmp_path / "sixth.yaml"
        file.write_text(f"kind: kit\nname: sixth\n{told}jobs: [linnet-woofer]\n", encoding="utf-8")
        assert {part.job.vehicle for part in load_kit(file, ROOT / "profiles").parts} == {vehicle}
