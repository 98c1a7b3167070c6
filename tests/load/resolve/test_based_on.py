"""`based_on`: mappings merge, lists and plain values replace, and every value keeps its place."""

from pathlib import Path
from typing import Any

from mounts.load.models.job import SourceLocation

JOBS = Path("profiles/jobs")


def test_what_is_written_below_changes_the_job_it_is_based_on(shop: Any) -> None:
    shop.change(
        "jobs/woofer.yaml", "height: 22", "limits: {glass: 12, moving: 9}\ngaskets: {base: {thickness: 4, width: 6}}"
    )
    shop.write(
        "jobs/higher.yaml",
        "name: higher\nbased_on: woofer\nheight: 30\nsides: [right]\naim: {tilt: 5}\nlimits: {moving: 7}\n"
        "gaskets: {base: false}\n",
    )
    (job,) = shop.load("jobs/higher.yaml")
    assert (job.name, job.side, job.height) == ("higher", "right", 30.0)
    assert (job.aim.tilt, job.aim.toward) == (5.0, 45.0)  # toward comes from below, mirrored for the right side
    assert (job.limits.glass, job.limits.moving) == (12.0, 7.0)
    assert job.gaskets.base is None
    assert job.where("aim.tilt") == SourceLocation(JOBS / "higher.yaml", 5, 13, "aim.tilt")
    assert job.where("aim.toward") == SourceLocation(JOBS / "woofer.yaml", 8, 24, "aim.toward")
    assert job.where("gaskets.base.thickness") == SourceLocation(JOBS / "higher.yaml", 7, 17, "gaskets.base.thickness")
    assert job.where("sides.0") == SourceLocation(JOBS / "higher.yaml", 4, 9, "sides.0")


def test_a_chain_of_three(shop: Any) -> None:
    shop.write("jobs/second.yaml", "name: second\nbased_on: woofer\nheight: 30\nlabel: false\n")
    shop.write("jobs/third.yaml", "name: third\nbased_on: second\nheight: 40\n")
    job = shop.load("jobs/third.yaml")[0]
    assert (job.name, job.height, job.label, job.aim.tilt) == ("third", 40.0, None, 8.0)


def test_a_wrong_value_is_told_where_it_stands(shop: Any) -> None:
    shop.change("jobs/woofer.yaml", "height: 22", "height: tall\nturn: sideways")
    shop.write("jobs/second.yaml", "name: second\nbased_on: woofer\nturn: 10\nlable: false\n")
    assert shop.problems("jobs/second.yaml") == [
        'jobs/second.yaml:4:1 lable: unknown key "lable"; did you mean "label"?',
        'jobs/woofer.yaml:9:9 height: "tall" is not known here; give a number, "least" or "best"',
    ]


def test_the_name_is_never_inherited(shop: Any) -> None:
    shop.write("jobs/second.yaml", "based_on: woofer\n")
    assert shop.problems("jobs/second.yaml") == [
        'jobs/second.yaml:1:1 name: the key "name" is missing: the file\'s own name',
    ]


def test_circles_are_refused(shop: Any) -> None:
    shop.write("jobs/a.yaml", "name: a\nbased_on: b\n")
    shop.write("jobs/b.yaml", "name: b\nbased_on: ./c.yaml\n")
    shop.write("jobs/c.yaml", "name: c\nbased_on: a\n")
    shop.write("jobs/self.yaml", "name: self\nbased_on: self\n")
    assert shop.problems("jobs/a.yaml") == ["jobs/c.yaml:2:11 based_on: based_on runs in a circle: a → b → c → a"]
    assert shop.problems("jobs/self.yaml") == ["jobs/self.yaml:2:11 based_on: based_on runs in a circle: self → self"]


def test_a_missing_base(shop: Any) -> None:
    shop.write("jobs/second.yaml", "name: second\nbased_on: wofer\nlabel:\n")
    assert shop.problems("jobs/second.yaml") == [
        "jobs/second.yaml:3:7 label: no value is given; give one, or delete the line",
        'jobs/second.yaml:2:11 based_on: no job "wofer" beside this file, in profiles or in what is shipped; did you '
        'mean "woofer"?',
    ]


def test_references_are_sought_beside_the_file_that_writes_them(shop: Any) -> None:
    cone = Path("profiles/speakers/cone.yaml").read_text("utf-8")
    shop.write("jobs/base/near.yaml", cone.replace("name: cone", "name: near"))
    shop.write(
        "jobs/base/base.yaml",
        Path("profiles/jobs/woofer.yaml")
        .read_text("utf-8")
        .replace("woofer", "base")
        .replace("speaker: cone", "speaker: ./near.yaml"),
    )
    shop.write("jobs/second.yaml", "name: second\nbased_on: ./base/base.yaml\n")
    assert shop.load("jobs/second.yaml")[0].speaker.name == "near"
