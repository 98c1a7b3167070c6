"""Spacer jobs as they are written: what is read, and every message about what is wrong."""

from __future__ import annotations

import pytest

from mounts.errors import InputError
from tests.spacers import spacer, spacers


def said(tmp_path, **changes):
    with pytest.raises(InputError) as error:
        spacers(tmp_path, **changes)
    return [f"{p.where}: {p.what}" for p in error.value.problems]


def test_the_example_of_the_design(tmp_path):
    job = spacer(
        tmp_path,
        port={"opening": {"round": 29.2}, "depth": 16, "panel": 2.4},
        device={"body": {"round": 22.4}, "length": 30, "cable": 5.0},
        fit={"panel": "press", "device": "push"},
        slit=True,
        material="petg",
        printer="bed-250",
    )
    assert (job.side, job.half, job.slit, job.fit.device, job.device.cable) == ("", None, "slit", "push", 5.0)
    assert job.lip is not None
    assert (job.lip.reach, job.lip.thickness, job.stop, job.hold.panel) == (2.0, 1.6, None, None)


def test_halves_are_two_jobs(tmp_path):
    assert [(job.side, job.half) for job in spacers(tmp_path, slit="halves")] == [("a", "a"), ("b", "b")]


def test_values_carry_units(tmp_path):
    job = spacer(tmp_path, port__opening={"round": "1 1/8 in"}, lip={"reach": "3 mm"})
    assert job.port.opening.round == pytest.approx(28.575)
    assert job.lip is not None
    assert job.lip.reach == 3.0


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        (
            {"port__opening": None},
            "port: neither opening nor body is given; give one of them, such as body: {round: 22.4}",
        ),
        ({"port": "iso-4165"}, "port: iso-4165 has no opening; give opening, such as {round: 29.2}"),
        ({"device": "iso-7736"}, "device: iso-7736 has no body; give body, such as {round: 22.4}"),
        ({"port__depth": None}, "port: any has no depth; give depth: how far a sleeve may reach behind the face"),
        ({"port__panel": 40}, "port: the panel is 40 thick and the depth 30; the depth is at least the panel's"),
        ({"port__taper": 20}, "port.taper: 20 is not a taper; give 0 to 15 degrees a side"),
        ({"device__cable": 25}, "device: the cable is 25 and the body 20 across; a cable is thinner"),
        (
            {"device__length": None, "stop": True},
            "stop: a stop needs the device's length, and any has none; give length",
        ),
        ({"fit": {"panel": "tight"}}, 'fit.panel: "tight" is not known here; give press, push, slide or free'),
        ({"slit": "yes"}, 'slit: "yes" is not known here; give true, false or halves'),
        ({"slit_width": 3}, "slit_width: slit_width is given but no slit; give slit: true, or leave slit_width out"),
        (
            {"hold": {"panel": "ribs"}},
            "hold.panel: ribs press, and the fit is slide; give fit: {panel: press}, or hold: {panel: wall}",
        ),
        ({"label": True}, "label: a spacer has no room for lettering; leave label out"),
        ({"fits": {"ribs": 2}}, "fits.ribs: 2 is not a number of ribs; give a whole number from 3 to 12"),
        (
            {"port__opening": {"d": [30, 14]}},
            "port.opening: a D is 14 across its flat; here it can be above 15 and below 30",
        ),
        (
            {"port": "iso-7763"},
            'port: no port "iso-7763" beside this file or in what is shipped; did you mean "iso-7736"?',
        ),
    ],
    ids=lambda value: value[:40] if isinstance(value, str) else "",
)
def test_what_is_wrong_is_said(tmp_path, changes, says):
    told = said(tmp_path, **changes)
    assert any(one.replace(str(tmp_path), "") == says for one in told), told
