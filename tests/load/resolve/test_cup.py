"""Cup jobs from their files: panels in place, hands, and what is refused, with place and nearest value."""

from __future__ import annotations

import pytest

from mounts.errors import InputError
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.plan import plan_cup
from mounts.kinds.cup.stakes import pin_errors, stake_chance
from mounts.load.models.job import SourceLocation
from tests.cups import FLANGE, TWEETER, cup, cups

PIN = "panel__pins__"


def test_a_panel_in_place(tmp_path):
    job = cup(tmp_path)
    assert isinstance(job, CupJob)
    assert (job.kind, job.make, job.side, job.label) == ("cup", "print", "left", None)
    assert job.panel.points["C"] == (22, -26)
    assert job.uncertainty("holes") == 0.1
    assert job.where("panel.pins.A.height") == SourceLocation(tmp_path / "any.yaml", 10, 15, "panel.pins.A.height")


def test_the_other_side_is_mirrored_and_the_tweeter_is_not(tmp_path):
    changes = {
        "sides": ["left", "right"],
        "aim": {"tilt": 8, "toward": "4:00"},
        "seat_offset": [2, 1],
        "wire": {"at": "3:00", "across": 4},
        "panel__standing": [{"what": "rib", "at": [40, 0], "size": [20, 2], "turn": 30, "height": 3}],
        "panel__grille": {"round": 40, "at": [1, 2], "height": 2},
    }
    left, right = cups(tmp_path, **changes)
    assert right.side == right.panel.side == "right"
    assert {name: (-x, y) for name, (x, y) in left.panel.points.items()} == right.panel.points
    assert (right.aim.toward, right.seat_offset) == (240.0, (-2, 1))
    assert right.wire is not None
    assert right.wire.at == 270.0
    assert right.panel.grille is not None
    assert right.panel.grille.at == (-1, 2)
    rib, other = left.panel.standing[0], right.panel.standing[0]
    assert (other.at, other.turn) == ((-40, 0), -30)
    assert other.outline().box == pytest.approx(
        (-rib.outline().box[2], rib.outline().box[1], -rib.outline().box[0], rib.outline().box[3])
    )
    assert right.speaker == left.speaker


def refused(tmp_path, changes):
    with pytest.raises(InputError) as caught:
        plan_cup(cup(tmp_path, **changes))
    return [str(problem).replace(f"{tmp_path}/", "") for problem in caught.value.problems]


REFUSED = {
    "a pin too short for plate and head": (
        {PIN + "A__height": 3},
        "any.yaml:10:15 panel.pins.A.height: pin A stands 3; a plate of 1.6 and a dome head 1.5 pin diameters wide "
        "need 3.4: heat-stake it no further, screw into it, or give limits: {plate_least: …}",
    ),
    "a pin too short for the ratio asked for": (
        {PIN + "A__height": 4.5, "staking": {"ratio": 2}},
        "any.yaml:10:15 panel.pins.A.height: pin A stands 4.5; a plate of 1.6 and a dome head 2 pin diameters wide "
        "need 5.8; at 1.5 3.4",
    ),
    "pins in a line": (
        {PIN + "A__at": [-30, 0], PIN + "B__at": [0, 0.5], PIN + "C__at": [30, 0], PIN + "D": None},
        "any.yaml:5:5 panel.pins: pins A, B, C lie within 0.3 of one line, about which the plate rocks; one 3 off is "
        "needed: measure again, or stake two of them only",
    ),
    "a tweeter deeper than the room": (
        {"panel__room": 14},
        "any.yaml:32:9 panel.room: any reaches 16.5 behind the face and the room is 14: 2.5 too much; a tweeter 9.5 "
        "deep would just go in",
    ),
    "a cup deeper than the room": (
        {"panel__room": 18, "back": "closed"},
        "any.yaml:32:9 panel.room: the cup reaches 19.6 behind the face and the room is 18: 1.6 too much; a tweeter "
        "10.4 deep would just go in",
    ),
    "a seat that comes out of the plate": (
        {"height": -2},
        "any.yaml:66:9 height: a seat at -2, or what keeps the flange on it, comes out of the plate's front; -4.2 is "
        "the most here",
    ),
    "a well that breaks into the room": (
        {PIN + "A__at": [-20, 4]},
        "any.yaml:7:7 panel.pins.A.at: the well A breaks into the room by 0.2; a pin 1.5 further out would do, or a "
        "tweeter 2.9 narrower, or seat_offset",
    ),
    "heads that cover no hole": (
        {"limits": {"head_over": 1.3}},
        "any.yaml:67:14 limits.head_over: the head of pin A covers no gap round it, and 0.15 is "
        "needed; head_over: 1.15 would do",
    ),
    "a hollow head on a solid pin": (
        {"staking": "hollow"},
        "any.yaml:66:10 staking.head: pin A is round, so it has no hollow head; give staking: dome or flat",
    ),
    "one pin": (
        {PIN + "B": None, PIN + "C": None, PIN + "D": None},
        "any.yaml:5:5 panel.pins: 1 given; a cup is staked on 2 to 6 pins",
    ),
    "a cross without its web": (
        {PIN + "A": {"at": [-30, 12], "diameter": 3, "height": 8, "form": "cross"}},
        "any.yaml:6:7 panel.pins.A: a cross pin needs its web",
    ),
    "a hole in a round pin": (
        {PIN + "A__hole": 1.2},
        "any.yaml:6:7 panel.pins.A: hole is for a hollow pin; give form: hollow",
    ),
    "glue": (
        {"retention": "glue"},
        'any.yaml:64:12 retention: "glue" is not known here; give press, flange, ring nut or spring clip',
    ),
    "two ribs": (
        {"retention": {"by": "press", "ribs": 2}},
        "any.yaml:66:9 retention.ribs: 2 is not a number of crush ribs; give a whole number from 3 to 12",
    ),
    "a nut of no size": (
        {"retention": "ring nut"},
        "any.yaml:64:12 retention: ring nut needs its sizes; give clamp: {across: 40, height: 5, grip: [2, 8]}",
    ),
    "a body that ribs cannot grip": (
        {"speaker__body": [{"depth": 0, "across": 27}, {"depth": 2, "across": 27}, {"depth": 2, "across": 20}]},
        "any.yaml:66:12 retention: the body is 27.0 across for 1.0 only and ribs need 3; give retention: flange",
    ),
    "lugs over an oval": (
        {"speaker__flange": {"oblong": [40, 34], "thickness": 2}},
        "any.yaml:66:12 retention.keep: lugs stand over a round flange only; give keep: lip",
    ),
    "screws without holes": (
        {"retention": "flange", "fix_speaker": "pilot-3.0"},
        "any.yaml:64:12 retention: the flange of any has no screw holes; give retention: press, or the speaker its "
        "holes",
    ),
    "a flange without screws": (
        {**FLANGE, "fix_speaker": None},
        "any.yaml:70:12 retention: a flange needs its screws; give fix_speaker, such as pilot-3.0",
    ),
    "a nut behind the seat": (
        {**FLANGE, "fix_speaker": "through-m4"},
        "any.yaml:72:14 fix_speaker.hardware: the nut of through-m4 has no place in a cup; take an insert or pilot",
    ),
    "screws under a press": (
        {"fix_speaker": "pilot-3.0"},
        "any.yaml:66:14 fix_speaker: a tweeter that is held by press takes no screws; leave fix_speaker out",
    ),
    "a vent in an open back": (
        {"vent": 3},
        "any.yaml:66:7 vent: an open back needs no vent; leave it out, or give back: closed",
    ),
    "a notch wider than the rim": (
        {"wire": {"at": "3:00", "across": 14}},
        "any.yaml:68:11 wire.across: a notch of 14 is wider than the rim is high; give 12.0 at most",
    ),
    "a wire's hole beside the vent": (
        {"wire": {"at": "3:00", "across": 12}, "back": "closed"},
        "any.yaml:68:11 wire.across: a hole of 12 finds no room beside the vent of 3; 8.2 is the most",
    ),
    "lettering that stands up against the panel": (
        {"label": "raised"},
        "any.yaml:65:8 label: a cup's lettering is on its front, which lies flat on the panel; give sunk, or false",
    ),
    "a panel with an opening": (
        {"panel": "linnet-front-door"},
        "any.yaml:3:8 panel: linnet-front-door has an opening and no pins; a cup needs pins: choose another panel, or "
        "kind: ring",
    ),
    "pins alike on both sides": (
        {"panel__other_side": "same"},
        "any.yaml:31:15 panel.other_side: pins of a moulded panel are never the same on both sides; give mirrored, or "
        "a panel",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_refused(tmp_path, name):
    changes, message = REFUSED[name]
    assert refused(tmp_path, changes) == [message]


def test_a_slot_that_cannot_take_the_spread(tmp_path):
    (said,) = refused(tmp_path, {"panel__read_with": {"holes": 0.4}})
    start = (
        "any.yaml:1:1 sure: pins read to 0.4 spread more than the slot at C can take: a head covers 4.4 of it, and so"
    )
    assert said.startswith(start)
    _, _, nearest = said.rpartition("give sure: ")
    finer = float(said.partition("{holes: ")[2].partition("}")[0])
    for holes, sure in ((0.4, float(nearest)), (finer, 0.95)):  # both that are named would do
        job = cup(tmp_path, panel__read_with={"holes": holes}, sure=sure)
        assert stake_chance(plan_cup(job).stakes, pin_errors(job).calibrated) >= sure - 0.01


@pytest.mark.parametrize(
    ("name", "done"),
    [
        ("a seat that comes out of the plate", {"height": -4.2}),
        ("a tweeter deeper than the room", {"panel__room": 14, "speaker__depth": 9.5, "speaker__terminals": None,
                                            "speaker__body": [{"depth": 0, "across": 27}]}),
        ("a well that breaks into the room", {PIN + "A__at": [-20 - 1.4 * 20 / 20.4, 4 + 1.4 * 4 / 20.4]}),
        ("a pin too short for plate and head", {PIN + "A__height": 3.4}),
        ("a wire's hole beside the vent", {"wire": {"at": "3:00", "across": 8.2}, "back": "closed"}),
        ("a notch wider than the rim", {"wire": {"at": "3:00", "across": 12}}),
        ("heads that cover no hole", {"limits": {"head_over": 1.15}, "panel__read_with": {"holes": 0.02}, "sure": 0.5}),
    ],
)  # fmt: skip
def test_the_nearest_value_that_is_named_would_do(tmp_path, name, done):
    assert name in REFUSED
    assert plan_cup(cup(tmp_path, **done)).genus >= 5


def test_a_ring_on_pins_is_refused(tmp_path):
    from mounts.load.resolve.job import load_job
    from tests.cups import PROFILES

    path = tmp_path / "ring.yaml"
    path.write_text(
        "kind: ring\nname: ring\npanel: linnet-sail\nspeaker: demo-woofer-100\nmaterial: asa\nprinter: bed-250\n"
        "fix_to_panel: rivet-nut-m5\nfix_speaker: insert-m4-short\n",
        "utf-8",
    )
    with pytest.raises(InputError) as caught:
        load_job(path, PROFILES)
    assert [problem.what for problem in caught.value.problems] == [
        "linnet-sail has pins and no opening; a ring needs an opening: choose another panel, or kind: cup"
    ]


assert TWEETER["flange"]["diameter"] == 34  # what the messages above rest on
