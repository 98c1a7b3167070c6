"""Which speakers go in, and what limits each: the same as the job of each says by itself."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mounts.choosing.choices import try_at, try_speakers
from mounts.choosing.trial import Workshop, find_place, trial_job
from mounts.errors import InputError
from mounts.findings.report import Verdict
from mounts.kinds.ring.clearances import speaker_gaps
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.speaker_kind import ring_margin
from mounts.load.models.job import AimAngles
from mounts.load.resolve.library import Library
from tests.idents import labels
from tests.libraries import nobody, write


def only(shop, *names):
    """The library with no other speakers than these."""
    for file in (shop / "speakers").glob("*.yaml"):
        if file.stem not in names:
            file.unlink()
    return Library(shop)


def test_a_margin_is_the_least_gap_less_what_is_wanted(profiles_copy):
    library = Library(profiles_copy)
    job = trial_job(library, find_place(library, "linnet-front-door", None), "demo-woofer-130", Workshop())
    job = replace(job, aim=AimAngles(8.0, 315.0), height=22.0)
    plan = plan_ring(job)
    least = min(speaker_gaps(job, plan.seat), key=lambda gap: gap.gap - gap.wanted)
    found = ring_margin(job)
    assert (found.verdict, found.height) == (Verdict.PASS, 22.0)
    assert found.margin == pytest.approx(least.gap - least.wanted)
    assert found.between == least.between


def test_a_seat_is_lifted_where_something_behind_is_too_near(profiles_copy):
    """The demo woofer is 56 deep, the lift rail lies at 46: at the least height it is too near, higher it passes."""
    library = Library(profiles_copy)
    job = trial_job(library, find_place(library, "linnet-front-door", None), "demo-woofer-130", Workshop())
    least = plan_ring(job)
    rail = next(gap for gap in speaker_gaps(job, least.seat) if labels(gap.between) == ("body", "lift rail"))
    assert rail.gap < rail.least
    found, change = (lifted := try_at(job, 0.0, 0.0)).margin, lifted.change
    assert found.verdict is Verdict.PASS
    assert change.words == f"height: {found.height:g}"
    assert found.height > least.seat.frame.origin[2]
    assert 0 <= found.margin < 0.3  # as low as it can be
    wall = job.panel.in_front.model_copy(
        update={"grille": job.panel.in_front.trim.model_copy(update={"at_clock": {0.0: 18.0}})}
    )
    low = replace(job, panel=job.panel.model_copy(update={"in_front": wall}))
    assert try_at(low, 0.0, 0.0).margin.verdict is Verdict.FAIL  # a grille so low leaves no room to lift it


def test_those_that_go_in_come_first_and_what_cannot_be_drawn_says_why(profiles_copy):
    library = only(profiles_copy, "demo-woofer-100", "demo-woofer-165", "demo-woofer-200", "demo-tweeter-20")
    place = find_place(library, "linnet-front-door", None)
    chosen = try_speakers(library, place, Workshop(), (0.0,), nobody)
    assert [choice.speaker.name for choice in chosen.choices] == [
        "demo-woofer-100",
        "demo-woofer-200",
        "demo-woofer-165",
    ]
    passes, deep, drawn = chosen.choices
    assert passes.passes and passes.margin > 0
    assert deep.trials[0].margin.verdict is Verdict.FAIL
    assert labels(deep.trials[0].margin.between) == ("body", "lift rail")
    assert deep.margin < -24  # 18 deeper than the glass, which fails within 6 of it; the rail stands nearer yet
    assert drawn.trials[0].margin is None
    assert "tool path C overlaps the bore by 1.8" in drawn.trials[0].why
    assert chosen.left_out == ("demo-tweeter-20",)
    assert chosen.unread == ()
    assert (chosen.job.material.name, chosen.job.fix_to_panel.hardware.name) == ("asa", "rivet-nut-m5")


def test_what_was_not_measured_is_told(profiles_copy):
    write(profiles_copy, "bare")
    library = only(profiles_copy, "demo-woofer-100")
    chosen = try_speakers(library, find_place(library, "bare", None), Workshop(), (0.0,), nobody)
    assert {"panel.in_front.trim", "panel.behind.glass", "panel.place"} <= set(chosen.unread)
    assert chosen.choices[0].trials[0].margin.between[1].label == "opening"  # all that there is to be near to


@pytest.mark.parametrize(
    ("panel", "toward", "told", "why"),
    [
        ("linnet-front-door", None, 318.5, "the ear of its own seat"),  # 540 rearward, on a left door left, and 610 up
        ("linnet-front-door", 30.0, 30.0, "as asked"),
        ("linnet-cargo", None, 0.0, "up, since no ear was measured"),
    ],
)
def test_where_it_leans_to(profiles_copy, panel, toward, told, why):
    place = find_place(Library(profiles_copy), panel, toward)
    assert place.toward == pytest.approx(told, abs=0.1)
    assert place.why_there == why


def test_a_wrong_name_tells_the_nearest(profiles_copy):
    with pytest.raises(InputError, match='did you mean "linnet-front-door"'):
        find_place(Library(profiles_copy), "linnet-frontdoor", None)
