"""From files to jobs: what is looked up, what is filled in, and where it all stands."""

import pickle
from pathlib import Path
from typing import Any

import pytest

from mounts.errors import InputError
from mounts.kinds.ring.job import RingJob
from mounts.load.catalogue.folders import shipped_library
from mounts.load.models.hardware import Insert, Pilot, RivetNut, ThreadItem, Through
from mounts.load.models.job import AimAngles, SourceLocation
from mounts.load.models.limits import Limits
from mounts.load.resolve.fasteners import clearance_hole
from mounts.load.resolve.job import load_job
from mounts.load.resolve.library import Library
from tests.load.conftest import JOB as MOUNT
from tests.load.conftest import MATERIAL

JOB = "jobs/woofer.yaml"


def test_the_design_example_loads_as_it_stands(profiles: Path) -> None:
    left, right = load_job(profiles / "jobs" / "linnet-woofer.yaml")
    assert (left.side, right.side) == ("left", "right")
    assert (left.name, left.kind, left.make, left.sheet) == ("linnet-woofer", "ring", "print", None)
    assert (left.height, left.turn, left.sure, left.label) == (22.0, "best", 0.95, "sunk")
    assert (left.aim, right.aim) == (AimAngles(8.0, 315.0), AimAngles(8.0, 45.0))
    assert left.panel.fixings.points == {"A": (58.0, 53.5), "B": (58.5, -54.0), "C": (-57.5, -53.0), "D": (-58.0, 54.0)}
    assert left.panel.behind is not None
    assert left.panel.behind.glass is not None
    assert left.panel.behind.glass.at_clock == {0.0: 52.0, 90.0: 55.0, 180.0: 60.0, 270.0: 56.0}
    assert left.panel.behind.things[0].size == (22.0, 90.0)
    assert left.panel.behind.things[0].outline().box == pytest.approx((37.0, -75.0, 59.0, 15.0))
    assert left.panel.ears is not None
    assert left.panel.ears.this_seat is not None
    assert left.panel.ears.this_seat.vector == (540.0, 430.0, 610.0)
    assert left.speaker.nominal == pytest.approx(133.35)  # 5.25 in of 25.4 mm
    assert left.speaker.flange.outline().box == (-67.5, -67.5, 67.5, 67.5)
    assert left.speaker.piston_diameter == 105.0
    assert left.speaker is right.speaker
    assert left.material.name == "asa"
    assert left.printer.bed == (250.0, 250.0, 240.0)
    assert isinstance(left.fix_to_panel.hardware, RivetNut)
    assert left.fix_to_panel.hardware.name == "rivet-nut-m5"
    assert left.fix_to_panel.screw.name == "iso-7380-m5"
    assert left.fix_to_panel.washer is not None
    assert left.fix_to_panel.washer.outside == 15.0  # ISO 7093-1 M5
    assert left.fix_speaker is not None
    assert isinstance(left.fix_speaker.hardware, Insert)
    assert left.fix_speaker.screw is not None
    assert left.fix_speaker.screw.name == "iso-7380-m4"


def test_defaults_are_the_design_pages(shop: Any) -> None:
    shop.write(
        JOB, "kind: ring\nname: woofer\npanel: door\nspeaker: dome\nmaterial: asa\nprinter: big\nfix_to_panel: nut-m5\n"
    )
    (job,) = shop.load()
    assert job.side == "left"
    assert (job.make, job.height, job.turn, job.sure, job.label) == ("print", "least", "best", 0.95, "sunk")
    assert (job.aim, job.wire, job.seat_offset, job.fix_speaker) == (AimAngles(0.0, 0.0), None, (0.0, 0.0), None)
    assert (job.collar, job.flush) == (False, False)
    assert job.gaskets.model_dump() == {
        "base": {"thickness": 3.0, "width": 6.0},
        "speaker": {"thickness": 2.0, "width": 8.0},
        "trim": None,
    }
    assert [job.uncertainty(g) for g in ("holes", "behind", "in_front", "ears")] == [0.25, 1.0, 0.7, 3.0]
    assert [job.limits.temperature(p) for p in ("door", "dash", "pillar", "shelf", "boot", "floor")] == [
        75.0,
        95.0,
        95.0,
        95.0,
        80.0,
        65.0,
    ]
    assert job.limits == Limits()
    assert Limits().model_dump(exclude={"temperatures"}) == {
        **{"caliper": 0.25, "rubbing": 0.5, "clay": 0.7, "depth_rod": 1.0, "tape": 3.0, "level": 0.5},
        **{"glass": 10.0, "glass_least": 6.0, "moving": 8.0, "fixed": 3.0, "cone_to_grille": 4.0, "front": 3.0},
        "sheet_unread": 3.0,
        **{"body_near_seat": 0.5, "near_seat": 5.0, "body": 2.0, "terminals": 4.0, "passing": 0.5, "bore": 1.0},
        **{"flare": 45.0, "flare_below": 15.0, "rear_area_pct": 70.0},
        **{
            "hole": None,
            "cut_error": 0.2,
            "panel_hole": 0.2,
            "recess_across": 2.0,
            "recess_deep": 0.4,
            "tool_path": 1.0,
        },
        **{"wall": 4.0, "wall_least": 3.0, "base": 6.0, "base_least": 5.0, "floor": 2.0, "roof": 3.0, "edge": 2.0},
        **{"lip": 1.2, "land": 4.0, "speaker_land": 2.0, "squeeze_pct": 40.0},
        **{"cup_wall": 2.4, "cup_wall_least": 1.6, "cup_web": 1.2, "fillet": 2.0},
        **{"plate_least": 1.6, "plate_most": 6.0},
        **{"pin_gap": 0.15, "head_over": 0.4, "tip_gap": 0.3, "press_strain_pct": 0.5},
        **{"foam_least_pct": 25.0, "foam_most_pct": 40.0, "torque": 1.0, "slam": 500.0, "seen_pct": 85.0, "aside": 4.0},
        **{"web": 3.0, "shock": 500.0},
    }


def test_everything_can_be_overridden(shop: Any) -> None:
    shop.change(
        JOB,
        "height: 22",
        "height: 1 in\nturn: 12 deg\nsure: 0.9\nlabel: raised\ncollar: true\nflush: true\n"
        "gaskets: {base: false, trim: {thickness: 6, width: 10}}\nlimits: {glass: 12, caliper: 0.1}\n"
        "vehicle: 2019\ndate: 2026-11-20\nnotes: no",
    )
    left, _ = shop.load()
    assert (left.height, left.turn, left.sure, left.label, left.collar, left.flush) == (
        25.4,
        12.0,
        0.9,
        "raised",
        True,
        True,
    )
    assert left.gaskets.base is None
    assert left.gaskets.speaker is not None
    assert left.gaskets.trim is not None
    assert left.gaskets.trim.thickness == 6.0
    assert (left.limits.glass, left.limits.moving, left.uncertainty("holes")) == (12.0, 8.0, 0.1)
    assert (left.vehicle, left.date, left.notes) == ("2019", "2026-11-20", "no")


@pytest.mark.parametrize(("word", "label"), [("true", "sunk"), ("false", None), ("sunk", "sunk"), ("raised", "raised")])
def test_label_words(shop: Any, word: str, label: str | None) -> None:
    shop.change(JOB, "height: 22", f"label: {word}")
    job: RingJob = shop.load()[0]
    assert job.label == label
    assert bool(job.glyphs) == (label is not None)


def test_glyphs_cover_the_label(shop: Any) -> None:
    job: RingJob = shop.load()[0]
    assert set("woofer" + "LEFT" + "RIGHT" + "left" + "right" + "UP" + "LR" + "→←↑↓ ") <= set(job.glyphs)


@pytest.mark.parametrize(
    ("written", "kind", "screw", "washer"),
    [
        ("nut-m5", RivetNut, "iso-7380-m5", "iso-7093-m5"),
        ("{hardware: nut-m5}", RivetNut, "iso-7380-m5", "iso-7093-m5"),
        ("{hardware: nut-m5, screw: iso-7045-m5, washer: iso-7089-m5}", RivetNut, "iso-7045-m5", "iso-7089-m5"),
        ("{hardware: nut-m5, washer: 10}", RivetNut, "iso-7380-m5", "iso-7089-m5"),
        ("{hardware: nut-m5, washer: 15 mm}", RivetNut, "iso-7380-m5", "iso-7093-m5"),
        ("{hardware: nut-m5, washer: 20}", RivetNut, "iso-7380-m5", "washer-m5-20"),
        ("{hardware: nut-m5, washer: false}", RivetNut, "iso-7380-m5", None),
        ("tapped-m5", ThreadItem, "iso-7380-m5", "iso-7093-m5"),
    ],
)
def test_what_fixes_to_the_panel(shop: Any, written: str, kind: type, screw: str, washer: str | None) -> None:
    shop.change(JOB, "fix_to_panel: nut-m5", f"fix_to_panel: {written}")
    fixing = shop.load()[0].fix_to_panel
    assert isinstance(fixing.hardware, kind)
    assert fixing.screw.name == screw
    assert (fixing.washer.name if fixing.washer else None) == washer
    if washer == "washer-m5-20":
        assert (fixing.washer.outside, fixing.washer.inside, fixing.washer.thickness) == (20.0, 5.3, 1.0)


@pytest.mark.parametrize(
    ("written", "kind", "screw"),
    [
        ("insert-m4", Insert, "iso-7380-m4"),
        ("through-m4", Through, "iso-7380-m4"),
        ("pilot-4", Pilot, "forming-4"),
        ("{hardware: pilot-4, screw: forming-4}", Pilot, "forming-4"),
    ],
)
def test_what_fixes_the_speaker(shop: Any, written: str, kind: type, screw: str) -> None:
    shop.change(JOB, "fix_speaker: insert-m4", f"fix_speaker: {written}")
    fixing = shop.load()[0].fix_speaker
    assert isinstance(fixing.hardware, kind)
    assert fixing.screw.name == screw


def test_a_pilot_whose_screw_the_library_lacks(shop: Any) -> None:
    shop.change("hardware/small-parts.yaml", 'pilot-4: {is: pilot, thread: "4.0"', 'pilot-4: {is: pilot, thread: "4.7"')
    shop.change(JOB, "fix_speaker: insert-m4", "fix_speaker: pilot-4")
    assert shop.load()[0].fix_speaker.screw is None


def test_an_item_tells_its_family_s_source(shop: Any) -> None:
    assert shop.load()[0].fix_to_panel.hardware.source == "invented for tests"


def test_printer_growth_and_shrink(shop: Any) -> None:
    printer = shop.load()[0].printer
    assert (printer.growth("asa"), printer.growth("pc"), printer.shrink_pct["asa"]) == (0.15, 0.0, 0.6)
    assert printer.model_copy(update={"slicer_corrects": True}).growth("asa") == 0.0


def test_places_lead_to_the_file_that_holds_the_value(shop: Any) -> None:
    job: RingJob = shop.load()[0]
    profiles = Path("profiles")
    assert job.where("aim.tilt") == SourceLocation(profiles / JOB, 8, 13, "aim.tilt")
    assert job.where("panel.fixings.at.A") == SourceLocation(profiles / "panels/door.yaml", 10, 11, "fixings.at.A")
    assert job.where("panel") == SourceLocation(profiles / JOB, 3, 8, "panel")
    assert job.where("speaker.body.1.across") == SourceLocation(
        profiles / "speakers/cone.yaml", 11, 25, "body.1.across"
    )
    assert job.where("panel.face.bead") == SourceLocation(profiles / JOB, 3, 8, "panel.face.bead")
    assert job.where("limits.glass").line == 1
    told = job.problem("panel.fixings.heights.C", "too high")
    assert str(told) == "profiles/panels/door.yaml:11:16 fixings.heights.C: too high"


def test_parts_written_in_place_and_beside_the_job(shop: Any) -> None:
    panel = Path("profiles/panels/door.yaml").read_text("utf-8")
    inner = "\n".join(f"  {line}" for line in panel.splitlines()[2:])
    shop.change(JOB, "panel: door", f"panel:\n{inner}")
    shop.write(
        "jobs/near.yaml", Path("profiles/speakers/cone.yaml").read_text("utf-8").replace("name: cone", "name: near")
    )
    shop.change(JOB, "speaker: cone", "speaker: ./near.yaml")
    left, right = shop.load()
    assert (left.panel.name, left.speaker.name) == ("woofer", "near")
    assert left.where("panel.opening.round") == SourceLocation(Path("profiles") / JOB, 8, 20, "panel.opening.round")
    assert right.panel.fixings.points["A"] == (-58.0, 53.5)


def test_the_same_job_twice_is_equal_and_travels_to_another_process(shop: Any) -> None:
    jobs = shop.load()
    assert jobs == shop.load()
    assert pickle.loads(pickle.dumps(jobs)) == jobs


@pytest.mark.parametrize("make", ["print", "cut"])
def test_a_flat_ring_from_sheet(shop: Any, make: str) -> None:
    shop.change(JOB, 'aim: {tilt: 8, toward: "10:30"}\n', "")
    if make == "cut":
        shop.change(JOB, "height: 22", "make: cut\nsheet: 1/2 in")
    job: RingJob = shop.load()[0]
    assert (job.make, job.sheet) == (make, 12.7 if make == "cut" else None)


def test_a_through_bolts_hole_is_iso_273_medium(profiles: Path) -> None:
    # ISO 273 medium: M4 4.5, M5 5.5, M6 6.6
    assert [clearance_hole(thread) for thread in ("M4", "M5", "M6", "M7")] == [4.5, 5.5, 6.6, None]
    (job,) = load_job(profiles / "jobs" / "linnet-rear-square.yaml")
    assert job.fix_speaker is not None
    assert isinstance(job.fix_speaker.hardware, Through)
    assert job.fix_speaker.hardware.hole == 4.5


def test_no_washer_lies_under_a_countersunk_head(tmp_path: Path, profiles: Path) -> None:
    text = (profiles / "jobs" / "linnet-woofer.yaml").read_text("utf-8")
    for given, washer in (("", None), (", washer: 15", "wrong")):
        path = tmp_path / "linnet-woofer.yaml"
        hardware = f"fix_to_panel: {{hardware: rivet-nut-m5, screw: iso-10642-m5{given}}}"
        path.write_text(text.replace("fix_to_panel: rivet-nut-m5", hardware), "utf-8")
        if washer is None:
            assert load_job(path, profiles)[0].fix_to_panel.washer is None
            continue
        with pytest.raises(InputError, match="no washer lies under the countersunk iso-10642-m5; leave it out"):
            load_job(path, profiles)


SHEET = MATERIAL.replace("asa", "ply") + "comes_as: sheet\n"
SPOOL = MATERIAL.replace("asa", "fibre") + "comes_as: filament\n"
LEVEL = MOUNT.replace('aim: {tilt: 8, toward: "10:30"}\n', "").replace("height: 22\n", "")


def fit(make: str, own: str) -> str:
    """Names of the shipped materials of which a part can be made so, and one of the shop's own."""
    shipped = Library(shipped_library())
    values = [shipped.get("material", name).value for name in shipped.names("material")]
    return ", ".join(sorted([own, *(one.name for one in values if not one.unfit(make))]))


def test_a_sheet_is_not_printed_and_a_filament_not_cut(shop: Any) -> None:
    shop.write("materials/ply.yaml", SHEET)
    shop.write("materials/fibre.yaml", SPOOL)
    for make, material in (("print", "asa"), ("print", "fibre"), ("cut", "asa"), ("cut", "ply")):
        shop.write(JOB, LEVEL.replace("asa", material) + f"make: {make}\n" + "sheet: 12\n" * (make == "cut"))
        assert {(one.make, one.material.name) for one in shop.load()} == {(make, material)}
    shop.write(JOB, MOUNT.replace("asa", "ply"))
    assert shop.problems() == [
        "jobs/woofer.yaml:5:11 material: ply comes in sheets and cannot be printed; "
        f"choose another: {fit('print', 'fibre')}, or make: cut"
    ]
    shop.write(JOB, LEVEL.replace("asa", "fibre") + "make: cut\nsheet: 12\n")
    assert shop.problems() == [
        "jobs/woofer.yaml:5:11 material: fibre comes as filament; there is no sheet of it to cut; "
        f"choose another: {fit('cut', 'ply')}, or make: print"
    ]


def test_a_sheet_given_in_place_is_refused_as_well(shop: Any) -> None:
    given = "{" + ", ".join(SHEET.splitlines()[2:]) + "}"
    shop.write(JOB, MOUNT.replace("material: asa", f"material: {given}"))
    (told,) = shop.problems()
    assert told.startswith("jobs/woofer.yaml:5:11 material: woofer comes in sheets and cannot be printed;")


def test_gaskets_false_means_none(shop: Any) -> None:
    shop.change(JOB, "kind: ring\n", "kind: ring\ngaskets: false\n")
    left, _ = shop.load()
    assert (left.gaskets.base, left.gaskets.speaker, left.gaskets.trim) == (None, None, None)
