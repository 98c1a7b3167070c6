"""A simulated workshop: doors of one pattern, measured twice, the mount of the first tried on the second.

The doors are invented and their errors are drawn as the tool assumes them, so this shows that the chances add up and
nothing of real doors. Whether a mount goes on a true pattern is asked of a feasibility search with no errors at all.
"""

from __future__ import annotations

from math import hypot

import numpy as np

from mounts.design import chance
from mounts.design.chance import Errors
from mounts.load.catalogue.panel_summary import PanelSummary
from mounts.matching.match import SearchOptions, match_panel
from mounts.matching.serving import MountHoles, chances
from tests.libraries import DOOR

DOORS = 150
THERE, HERE, MADE, GAP = 0.25, 0.35, 0.1, 0.5  # mm: errors of both readings and of printing; a hole's gap, a side


def known(name: str, points, sd: float) -> PanelSummary:
    bare = dict.fromkeys(("about", "other_side", "place", "by", "on", "read_with"), "")
    none = {key: {} for key in ("sizes", "heights", "depths", "fronts", "told")}
    at = dict(zip(DOOR, points, strict=True))
    return PanelSummary(
        name=name, side="left", pins=False, points=at, sd=sd, spread=None, opening=None, things=(), **bare, **none
    )


def test_the_share_that_goes_on_is_the_chance_that_was_told():
    drawn = np.random.default_rng(5)
    true = np.array(list(DOOR.values()))
    told, off, alone = [], [], []
    for _ in range(DOORS):
        there, here = (true + drawn.normal(0, sd, true.shape) for sd in (THERE, HERE))
        printed = there + drawn.normal(0, MADE, true.shape)
        panel = known("here", [tuple(p) for p in here], HERE)
        match = match_panel(known("there", [tuple(p) for p in there], THERE), panel, SearchOptions(2.0))
        assert match is not None
        as_read, if_same = chances(match, panel, MountHoles((GAP,) * 4, (None,) * 4, "", Errors((), MADE)))
        off.append(true - printed)
        told.append(as_read if if_same is None else if_same)
        alone.append(as_read)
    round_ = chance.PinHoles(true - true.mean(axis=0), np.full(4, GAP), np.tile([1.0, 0.0], (4, 1)), np.zeros(4))
    went = chance.fit_assembly(round_, np.array(off)).most <= 0
    share, expected = np.mean(went), np.mean(told)
    error = hypot(np.std(went), np.std(told)) / DOORS**0.5
    assert abs(share - expected) < 3 * error
    assert 0.8 < share < 0.99  # neither certain nor hopeless, so that the comparison says something
    assert np.mean(alone) < expected - 0.1  # one panel's readings alone promise less than both together
