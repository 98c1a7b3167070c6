"""Every port in profiles/ finds its spacer: as what goes in, or as the opening that it goes into."""

from __future__ import annotations

import pytest

from mounts import pipeline
from mounts.load.resolve.library import Library
from tests.spacers import PROFILES, spacer

LIBRARY = Library(PROFILES)


@pytest.mark.parametrize("name", LIBRARY.names("port"))
def test_every_port_finds_its_spacer(tmp_path, name):
    port = LIBRARY.get("port", name, PROFILES / "x.yaml").value
    changes = {"device": name} if port.body else {"port": name, "device__body": {"rectangle": [172, 44, 3]}}
    job = spacer(tmp_path, **changes, fit={"panel": "press", "device": "press"})
    plan = pipeline.kind_of(job).plan(job)
    part = pipeline.preview(job)
    assert (part.solids, part.genus) == (1, plan.genus)
    assert plan.wall > 0.8
