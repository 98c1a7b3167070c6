"""What cannot be drawn is refused with the nearest value that could be; what breaks a limit only is drawn."""

from __future__ import annotations

import pytest

from mounts.errors import InputError
from mounts.kinds.spacer.plan import plan_spacer
from tests.spacers import spacer

PRESS = {"panel": "press", "device": "press"}
REFUSED = {
    "a device as large as the opening": (
        {"device__body": {"round": 30}},
        "device.body: the device is 30 across and the opening 30: 0.00 is left for the wall; with the fits asked for a "
        "device of 28.08 or an opening of 31.92 leaves the 0.8 that prints",
    ),
    "a device deeper than the depth, with its stop": (
        {"device__length": 40, "stop": True},
        "stop: device and stop reach 41.2 behind the face and the depth is 30; a device of 28.8 would do, or "
        "stop: false",
    ),
    "a cable that leaves no stop": (
        {"device__cable": 19, "stop": True},
        "stop: a stop could reach in by 0.25 only, with the cable through it; 0.4 is needed: give stop: false, or "
        "halves "
        "and a thinner cable",
    ),
    "a slit wider than the sleeve bears": (
        {"slit": True, "device__cable": 14},
        "device.cable: a slit of 14.5 leaves too little of the sleeve; here it may be 12.0 at most: halves go on",
    ),
    "a bump that the sleeve is too short for": (
        {"bump": True, "port__depth": 5, "stop": False},
        "port.depth: a snap bump needs the sleeve to reach 5.4 behind the face, and it ends at 5.0; give a depth "
        "of 5.4 "
        "at least, or bump: false",
    ),
    "a sleeve longer than the depth": (
        {"stop": False, "length": 31},
        "length: the sleeve is to reach 31 behind the face; here it can from 1.0 to 30",
    ),
    "no room for three ribs": (
        {"port__opening": {"rectangle": [40, 30, 2]}, "device__body": {"rectangle": [3.6, 3.6, 1]}, "fit": PRESS},
        "fit.device: crush ribs find room at 0 places of the outline; 3 are needed: hold it by its wall",
    ),
    "a device too short for ribs over its stop": (
        {"device__length": 1.5, "fit": PRESS},
        "fit.device: crush ribs find 0.1 of the bore's length; 0.5 is needed: a longer device or sleeve, or hold: "
        "{device: wall}",
    ),
    "a taper that closes the opening": (
        {"port__taper": 15, "port__opening": {"oblong": [20, 12]}, "device__body": {"round": 4}, "stop": False},
        "port.taper: an opening that narrows by 15 a side is all but closed 30.0 behind the face; here it can "
        "narrow by "
        "9.0, or the sleeve be shorter: length",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused(tmp_path, name):
    changes, says = REFUSED[name]
    job = spacer(tmp_path, **changes)
    with pytest.raises(InputError) as error:
        plan_spacer(job)
    (problem,) = error.value.problems
    assert f"{problem.where}: {problem.what}" == says
    assert problem.file == tmp_path / "any.yaml"
    assert problem.line > 0


@pytest.mark.parametrize("body", [28.08, 31.92])
def test_the_nearest_value_would_do(tmp_path, body):
    """The device, and the opening, that the first message names leave the 0.8 that prints."""
    changes = {"device__body": {"round": body}} if body < 30 else {"port__opening": {"round": body}}
    plan = plan_spacer(spacer(tmp_path, **{"device__body": {"round": 30}, **changes}))
    assert plan.wall == pytest.approx(0.8, abs=0.006)  # told to a hundredth, on the diameter


def test_the_nearest_device_s_length_would_do(tmp_path):
    assert plan_spacer(spacer(tmp_path, device__length=28.8, stop=True)).outside.back == pytest.approx(-30)


def test_a_wall_under_the_process_limit_is_drawn_and_found(tmp_path):
    plan = plan_spacer(spacer(tmp_path, device__body={"round": 28.6}))
    (wall,) = [wall for wall in plan.walls if wall.code == "wall.sleeve"]
    assert wall.thickness == pytest.approx(0.54)
    assert not wall.is_enough
    assert wall.finding().advice == "take a device 0.6 narrower, or a closer fit; or a finer nozzle"
