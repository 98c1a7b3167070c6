"""The new job's file: as little as can be written, and never over another."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from mounts.adapting.draft import draft_job, speaker_choices
from mounts.errors import InputError
from mounts.kinds.cup.job import CupJob
from mounts.load.resolve.job import job_document, load_from
from mounts.load.resolve.library import Library

PROFILES = Path(__file__).parents[2] / "profiles"


@pytest.fixture
def shop(tmp_path):
    """A library of one's own."""
    return Library(shutil.copytree(PROFILES, tmp_path / "profiles"))


def drafted(library, job, speaker, name=None):
    old = library.root / "jobs" / f"{job}.yaml"
    document = job_document(old, library)
    return draft_job(old, load_from(library, old)[0], document, library=library, speaker=speaker, name=name)


def test_only_the_speaker_is_written_besides_the_name(shop):
    found = drafted(shop, "linnet-woofer", "demo-eared-130")
    assert found.file == shop.root / "jobs" / "linnet-woofer-demo-eared-130.yaml"
    assert found.text.splitlines() == [
        "# yaml-language-server: $schema=../schema.json",
        "kind: ring",
        "name: linnet-woofer-demo-eared-130",
        'about: "linnet-woofer with demo-eared-130"',
        "based_on: linnet-woofer",
        "speaker: demo-eared-130",
    ]
    assert not found.file.exists()
    left, right = load_from(shop, found.file, found.text)
    assert (left.speaker.name, left.height, right.side) == ("demo-eared-130", 22.0, "right")


def test_a_flange_without_screw_holes_is_pressed_and_its_screws_are_taken_out(shop):
    found = drafted(shop, "linnet-dash-tweeter-flange", "demo-tweeter-20")
    assert [line.split("#")[0].strip() for line in found.text.splitlines()[6:]] == [
        "fix_speaker: false",
        "retention: press",
    ]
    job = load_from(shop, found.file, found.text)[0]
    assert isinstance(job, CupJob)
    assert (job.retention.by, job.fix_speaker) == ("press", None)


def test_lugs_over_a_flange_that_is_not_round_become_a_lip(shop):
    speaker = (shop.root / "speakers" / "demo-tweeter-20.yaml").read_text("utf-8")
    square = speaker.replace("demo-tweeter-20", "square").replace("{diameter: 34,", "{square: 34, corner: 5,")
    (shop.root / "speakers" / "square.yaml").write_text(square, "utf-8")
    found = drafted(shop, "linnet-sail-tweeter-press", "square")
    job = load_from(shop, found.file, found.text)[0]
    assert (job.retention.by, job.retention.keep) == ("press", "lip")


def test_a_speaker_given_by_its_file_is_told_by_its_name(shop):
    found = drafted(shop, "linnet-woofer", str(shop.root / "speakers" / "demo-eared-130.yaml"), "mine")
    assert (found.name, found.text.splitlines()[5]) == ("mine", "speaker: demo-eared-130")


def test_a_job_outside_the_library_is_based_on_as_a_file_beside(shop, tmp_path):
    old = tmp_path / "away" / "linnet-woofer.yaml"
    old.parent.mkdir()
    shutil.copy(shop.root / "jobs" / "linnet-woofer.yaml", old)
    document = job_document(old, shop)
    found = draft_job(old, load_from(shop, old)[0], document, library=shop, speaker="demo-eared-130", name=None)
    assert 'based_on: "linnet-woofer.yaml"' in found.text
    assert load_from(shop, found.file, found.text)[0].fix_to_panel.hardware.name == "rivet-nut-m5"


@pytest.mark.parametrize(
    ("job", "name", "told"),
    [
        ("linnet-woofer", "linnet-rear-oval", "is there already; take another name with --name"),
        ("linnet-woofer", "a/b", '"a/b" is no name for a file; take "a-b-'),
        ("linnet-port-round", None, "a spacer carries no speaker"),
    ],
)
def test_what_cannot_be_drafted_is_refused(shop, job, name, told):
    with pytest.raises(InputError, match=told.replace("(", r"\(")):
        drafted(shop, job, "demo-eared-130", name)


def test_what_was_chosen_with_the_old_speaker_in_mind_is_told(shop):
    told = [
        list(speaker_choices(job_document(shop.root / "jobs" / f"{job}.yaml", shop)))
        for job in ("linnet-woofer", "linnet-slider-oblong", "linnet-rear-square")
    ]
    assert told == [["height: 22"], ["height: 0.85 in", "turn: 90"], []]
