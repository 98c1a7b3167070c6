"""Lengths as they were typed: an inch job is shown in inches everywhere, a mixed one in both, report.json in mm."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from mounts.checks.ring.changes import find_change
from mounts.errors import InputError
from mounts.findings.compare import at_least, within
from mounts.findings.report import Report, Verdict
from mounts.findings.wording import value_with_limit
from mounts.kinds.ring.clearances import ring_gaps, speaker_gaps
from mounts.kinds.ring.plan import plan_ring
from mounts.lengths import Units
from mounts.load.parse.units import length
from mounts.load.resolve.job import load_job
from mounts.load.resolve.library import find_library
from mounts.papers.booklet import booklet
from mounts.papers.chapter import make_chapter
from mounts.papers.entry import BookletEntry
from mounts.pipeline import make
from mounts.write.booklet import booklet_pdf
from mounts.write.page.page_data import page_data
from mounts.write.picture import _sizes
from mounts.write.report import report_json
from mounts.write.screen import Done, summary
from tests.papers.test_booklet import texts

PROFILES = Path(__file__).parents[1] / "profiles"
INCH_JOB = PROFILES / "jobs" / "linnet-slider-oblong.yaml"
MM = re.compile(r"[\d.]+ ?mm(?![a-z])")
ALLOWED = (  # the bars of a template, and what a rule says of fire
    "100 mm, which is 3 15/16 in",
    "100 mm = 3 15/16 in",
    "102 mm a minute for what lies within 13 mm",
    "100 mm a minute as the usual limit",
)


@pytest.fixture(scope="module")
def inch_job():
    """One side of the demo job that is typed in inches."""
    return make(load_job(INCH_JOB)[0])


@pytest.mark.parametrize(
    ("hole", "height", "units"),
    [("7.0", "22", "mm"), ("9/32 in", "0.85 in", "inches"), ("9/32 in", "22", "both"), ("9/32 in", "22 mm", "both")],
)
def test_what_is_typed_decides(tmp_path: Path, hole: str, height: str, units: str) -> None:
    panel = (PROFILES / "panels" / "linnet-slider.yaml").read_text("utf-8")
    if units == "mm":
        panel = (PROFILES / "panels" / "linnet-front-door.yaml").read_text("utf-8").replace("-front-door", "-slider")
    panel = re.sub(r"hole: [^\n#]*", f"hole: {hole}  ", panel, count=1)
    (tmp_path / "linnet-slider.yaml").write_text(panel, "utf-8")
    text = re.sub(r"height: .*", f"height: {height}", INCH_JOB.read_text("utf-8"))
    job = tmp_path / INCH_JOB.name
    job.write_text(text.replace("[left, right]", "[left]"), "utf-8")
    assert load_job(job, PROFILES)[0].units == units


def test_the_settings_decide_before_that(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    (tmp_path / "mounts").mkdir()
    settings = tmp_path / "mounts" / "settings.yaml"
    settings.write_text("units: inches\n", "utf-8")
    assert load_job(PROFILES / "jobs" / "linnet-woofer.yaml")[0].units is Units.INCHES
    settings.write_text("units: cubits\n", "utf-8")
    with pytest.raises(InputError, match='"cubits" is not known here; give mm or inches or both'):
        load_job(PROFILES / "jobs" / "linnet-woofer.yaml")


def test_a_bare_fraction_lacks_its_unit_and_stands_with_all_other_mistakes(tmp_path: Path) -> None:
    text = (PROFILES / "panels" / "linnet-front-door.yaml").read_text("utf-8")
    file = tmp_path / "mine.yaml"
    file.write_text(re.sub(r"hole: 7.0", "hole: 9/32", text).replace("lean: 7", "lean: seven"), "utf-8")
    problems = find_library(file, PROFILES).load("panel", file).problems
    said = {problem.where: problem for problem in problems}
    assert said["fixings.hole"].what == '"9/32" has no unit; write 9/32 in, or a decimal figure for mm'
    assert said["fixings.hole"].line == text[: text.index("hole: 7.0")].count("\n") + 1
    assert "lean" in said


@pytest.mark.parametrize("millimetres", [0.004, 1.21, 5.84, 25.4, 99.99])
def test_a_remedy_reads_back_as_no_less_than_is_missing(millimetres: float) -> None:
    """What is pasted into a file is read again by the loader's own reader of lengths."""
    for units in Units:
        assert length(units.key(millimetres, up=True)) >= millimetres - 1e-5
        assert length(units.key(millimetres, up=False)) <= millimetres + 1e-5
        first = units.at_least(millimetres).split(" (")[0]
        assert millimetres - 1e-5 <= length(first) < millimetres + units.step + 1e-5 or millimetres < units.step


def test_a_value_is_never_shown_as_its_limit_that_it_misses() -> None:
    missed = at_least("clear.glass", 9.9999, 10.0, "body to glass", measured=9.995)
    assert value_with_limit(missed, Units.INCHES) == "0.3935 in (min 0.3937)"
    assert value_with_limit(missed, Units.BOTH) == "9.995 (min 10), 0.3935 in (min 0.3937)"
    kept = at_least("wall.screw-outside", 2.103, 2.1, "wall, speaker screw 2 to outside")
    assert value_with_limit(kept, Units.INCHES) == "0.0828 in (min 0.0827)"
    met = within("seat.height", 21.59, 21.59, 0.05, "height")
    assert value_with_limit(met, Units.INCHES) == "0.8500 in (0.85 ± 0.002)"
    over = at_least("clear.glass", -1.3, 3.0, "body to glass")
    assert value_with_limit(over, Units.INCHES) == "overlaps by 0.051 in (min 0.118)"


def test_areas_and_volumes_are_in_the_unit_of_lengths() -> None:
    bed = at_least("print.contact", None, 100.0, "first layer's area on the bed", measured=989.0, unit="mm²")
    assert value_with_limit(bed, Units.INCHES) == "1.533 in² (min 0.155)"
    assert value_with_limit(bed, Units.BOTH) == "989 mm² (min 100), 1.533 in² (min 0.155)"
    assert [units.area(645.16) for units in Units] == ["645 mm²", "1.00 in²", "645 mm² (1.00 in²)"]


def test_an_inch_job_shows_no_millimetres(inch_job) -> None:
    report = Report("job", (inch_job.report,))
    page = json.loads(page_data(inch_job))["findings"]
    sheets = texts(booklet_pdf(booklet("job", (BookletEntry(make_chapter(inch_job), inch_job.report),)), "a4"))
    papers = re.sub(r"\s+", " ", " ".join(sheets))
    for allowed in ALLOWED:
        papers = papers.replace(allowed, "")
    assert re.fullmatch(r"[\d.]{5} × [\d.]{5} × [\d.]{5} in", _sizes(inch_job.part, inch_job.job.units))
    for text in (str(summary(report, 80, Done())), " ".join(one["told"] + one["advice"] for one in page), papers):
        assert MM.findall(text) == []
        assert " in (m" in text
    assert "holes ⌀ 9/32 in" in papers
    assert json.loads(report_json(report))["parts"][0]["units"] == "inches"
    glass = next(one for one in inch_job.report.findings if one.code == "clear.glass")
    assert (glass.limit, glass.unit) == (pytest.approx(10.0), "mm")


def test_a_change_to_paste_is_in_the_unit_of_the_file_and_holds() -> None:
    """The key is written into a copy of the file, which is loaded and planned as any other."""
    (job, *_) = load_job(INCH_JOB)
    high = replace(job, height=job.height + 12.0)
    change = find_change(high)
    assert change is not None
    key, _, value = change.words.partition(": ")
    assert (key, value[-3:]) == ("height", " in")
    mended = replace(job, height=length(value))
    gaps = (*speaker_gaps(mended, plan_ring(mended).seat), *ring_gaps(mended, plan_ring(mended)))
    assert all(gap.verdict is Verdict.PASS for gap in gaps)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("hole: 9/32 in", "hole: 2 in", "a hole of 2 in holds no mount; 0.079 in to 1.181 in is usual: measure again"),
        ("up: 22 in}", "up: 50 in}", "straight 31 in does not agree with the others, which give 53.15 in"),
        ("{oblong: [5 3/4 in, 4 1/4 in]} ", "{rectangle: [5 in, 4 in, 2 1/2 in]} ",
         "the corner 2 1/2 in does not fit; the most here is 2 in"),
        ("{straight: 31 in, rearward: 18 in, up: 22 in}", "{straight: 4 in, rearward: 1 in, up: 2 in}",
         "the ear is 4 in from the opening's centre"),
    ],
)  # fmt: skip
def test_a_refusal_speaks_as_its_file_is_typed(tmp_path: Path, old: str, new: str, said: str) -> None:
    text = (PROFILES / "panels" / "linnet-slider.yaml").read_text("utf-8")
    file = tmp_path / "mine.yaml"
    changed = text.replace(old, new, 1).replace("name: linnet-slider", "name: mine")
    file.write_text(changed, "utf-8")
    problems = [problem.what for problem in find_library(file, PROFILES).load("panel", file).problems]
    assert any(said in what for what in problems), problems
    assert MM.findall(" ".join(problems)) == []
