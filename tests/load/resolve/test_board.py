"""Board jobs as people write them: names deep in the job, and what cannot be had together."""

from __future__ import annotations

from pathlib import Path

import pytest

from mounts.errors import InputError
from tests.boards import BOX, CUT, PRINTED, board, boards


def problems(folder: Path, base=PRINTED, **changes):
    with pytest.raises(InputError) as caught:
        boards(folder, base, **changes)
    return [str(problem).rsplit("any.yaml", 1)[1].split(" ", 1)[1] for problem in caught.value.problems]


def test_devices_come_from_the_library_or_in_place(tmp_path):
    job = board(
        tmp_path, devices={"dsp": {"device": "demo-dsp"}, "box": {"device": BOX, "at": ["4 in", 0]}}, outline=None
    )
    assert [(one.name, one.device.mass) for one in job.devices] == [("dsp", 0.45), ("box", 0.6)]
    assert job.devices[1].at == pytest.approx((101.6, 0))
    assert job.where("devices.box.device.height").path == "devices.box.device.height"


def test_a_device_may_have_screws_of_its_own(tmp_path):
    job = board(tmp_path, devices__box__fix="insert-m3")
    assert job.devices[0].fix.hardware.name == "insert-m3"


def test_unknown_names_and_keys_are_told_where_they_stand(tmp_path):
    assert problems(tmp_path, devices={"a": {"device": "demo-dps"}}) == [
        'devices.a.device: no device "demo-dps" beside this file or in what is shipped; did you mean "demo-dsp"?'
    ]
    (wrong,) = problems(tmp_path, devices__box__device={**BOX, "hight": 30})
    assert wrong.startswith("devices.box.device.hight: ")
    (hole,) = problems(tmp_path, devices__box__device={**BOX, "holes": {"at": [[60, 0]], "diameter": 4}})
    assert (
        hole.startswith("devices.box.device.holes.at[0]: hole 1 lies outside the outline")
        or "hole 1 lies outside" in hole
    )
    (side,) = problems(tmp_path, devices__box__device={**BOX, "plugs": [{"side": "1:30", "reach": 9, "width": 9}]})
    assert '"1:30" is no side of a device' in side


def test_what_cannot_be_had_together(tmp_path):
    assert problems(tmp_path, feet__material="asa", fix_feet="pilot-4.0", label=True) == [
        "feet.material: a printed board has its feet on it; leave feet.material out, or make: cut",
        "fix_feet: a printed board has its feet on it; leave fix_feet out, or make: cut",
        "label: names are engraved, and only where the board is cut; leave label out, or give false",
    ]
    told = problems(
        tmp_path, CUT, feet__material=None, fix_feet=None, fix_devices="insert-m4", feet__at=[[0, 0], [50, 0]]
    )
    assert sorted(one.split(":")[0] for one in told) == ["feet", "feet.at", "fix_devices", "fix_feet"]
    assert problems(tmp_path, CUT, fix_feet="through-m5") == [
        "fix_feet: a foot is glued down and no nut can be held under it; take a pilot or an insert"
    ]
    assert problems(tmp_path, wrap=True) == ["wrap: true is no wrap; give {thickness: 4}, or false for none"]


def test_feet_are_printed_whatever_the_board_is(tmp_path):
    (told,) = problems(tmp_path, CUT, feet__material="birch-ply")
    assert told.startswith(
        "feet.material: birch-ply comes in sheets and cannot be printed; choose another: abs, asa, pa12, pa6"
    )
    assert "make:" not in told
