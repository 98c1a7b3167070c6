"""`mounts start`: the job that it writes keeps everything that the plan can tell, and says why each line is so."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner

from mounts.choosing.start import StartRequest, start_job
from mounts.choosing.trial import Workshop, find_place
from mounts.cli import commands
from mounts.errors import InputError
from mounts.findings.report import Verdict
from mounts.kinds.kind import kind_of
from mounts.load.resolve.job import load_from
from mounts.load.resolve.library import Library

NEVER_PLAIN = ("kind", "name", "panel", "speaker", "sides")  # lines that were asked for


def started(shop, panel, speaker, tilt=None, **options):
    """The file of a new job beside a library, and its jobs."""
    library, file = Library(shop), shop / "jobs" / "new.yaml"
    asked = StartRequest(find_place(library, panel, None), speaker, Workshop(), file, tilt, **options)
    found = start_job(library, asked)
    return found, load_from(library, file, found.text)


def missed(job):
    """Codes of what a plan misses of its clearances, walls and chosen limits."""
    kind = kind_of(job)
    return {one.code for one in kind.review().planned(job, kind.plan(job)) if one.verdict is Verdict.FAIL}


def test_a_demo_door_takes_the_usual_and_aims_at_the_ears(profiles_copy):
    found, jobs = started(profiles_copy, "linnet-front-door", "demo-woofer-130", both=True)
    assert [job.part for job in jobs] == ["left", "right"]
    assert found.changes == ()
    assert yaml.safe_load(found.text)["aim"] == "best"
    assert not any(missed(job) for job in jobs)


def test_every_choice_says_why(profiles_copy):
    found, _ = started(profiles_copy, "linnet-front-door", "demo-woofer-130")
    for line in found.text.splitlines():
        assert line.startswith(NEVER_PLAIN) or "# " in line, line


def test_where_the_usual_misses_something_the_change_is_written_and_holds(profiles_copy):
    """The demo woofer is 56 deep and the lift rail lies at 46: level it stands higher than it could otherwise."""
    found, (job,) = started(profiles_copy, "linnet-front-door", "demo-woofer-130", 0.0)
    assert not missed(job)
    (change,) = found.changes
    assert re.fullmatch(r"height: [\d.]+ \(else .*lift rail.*\)", change)
    assert re.search(r"height: [\d.]+ +# instead of what is usual: .*lift rail", found.text)
    library = Library(profiles_copy)
    usual = re.sub(r"height: [\d.]+", "height: least", found.text)
    (lower,) = load_from(library, profiles_copy / "jobs" / "new.yaml", usual)
    assert missed(lower)


def test_a_tilt_is_kept_as_asked(profiles_copy):
    _, (job,) = started(profiles_copy, "linnet-front-door", "demo-woofer-130", 6.0)
    assert job.aim.tilt == 6.0


def test_what_was_asked_for_says_so(profiles_copy):
    library, file = Library(profiles_copy), profiles_copy / "jobs" / "new.yaml"
    workshop = Workshop(material="abs", printer="bed-210", to_panel="rivet-nut-m5", to_speaker="insert-m4-short")
    place = find_place(library, "linnet-front-door", None)
    found = start_job(library, StartRequest(place, "demo-woofer-100", workshop, file, 0.0))
    said = dict(line.split(":", 1) for line in found.text.splitlines())
    for key in ("material", "printer", "fix_to_panel", "fix_speaker"):
        assert said[key].endswith("# as asked"), key
    assert said["material"].split()[0] == "abs"


def test_without_ears_it_is_level_and_says_so(profiles_copy):
    file = profiles_copy / "panels" / "linnet-front-door.yaml"
    text, count = re.subn(r"\nears:.*\n(?: .*\n)*", "\n", file.read_text("utf-8"))
    assert count == 1
    file.write_text(text, "utf-8")
    found, (job,) = started(profiles_copy, "linnet-front-door", "demo-woofer-130")
    assert job.aim.tilt == 0
    assert "towards the ears" in found.text


def test_pins_get_a_cup(profiles_copy):
    _, (job, *_) = started(profiles_copy, "linnet-dash-grille", "demo-tweeter-20")
    assert job.kind == "cup"
    kind_of(job).plan(job)


def test_panel_and_speaker_may_lie_elsewhere(profiles_copy, tmp_path):
    """A job beside them refers to them by their paths."""
    for kind, name in (("panels", "linnet-front-door"), ("speakers", "demo-woofer-130")):
        text = (profiles_copy / kind / f"{name}.yaml").read_text("utf-8")
        (tmp_path / f"my-{name}.yaml").write_text(text.replace(f"name: {name}", f"name: my-{name}"), "utf-8")
    panel, speaker = (str(tmp_path / f"my-{name}.yaml") for name in ("linnet-front-door", "demo-woofer-130"))
    library, file = Library(profiles_copy), tmp_path / "new.yaml"
    found = start_job(library, StartRequest(find_place(library, panel, None), speaker, Workshop(), file, 0.0))
    (job,) = load_from(library, file, found.text)
    assert (job.panel.name, job.speaker.name) == ("my-linnet-front-door", "my-demo-woofer-130")


def test_what_is_not_there_is_told_and_nothing_is_written(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for words, said in (
        (["linnet-frunt-door", "demo-woofer-130"], "linnet-front-door"),
        (["linnet-front-door", "demo-wofer-130"], "demo-woofer-130"),
        (["linnet-front-door", "demo-woofer-130", "--material", "assa"], "asa"),
        (["linnet-front-door", "demo-woofer-130", "--name", "a/b"], "is no name for a file"),
    ):
        with pytest.raises(InputError, match=said):
            CliRunner().invoke(commands, ["start", *words], standalone_mode=False, catch_exceptions=False)
    assert list(tmp_path.iterdir()) == []


def test_a_name_that_is_taken_is_left_alone(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    file = Path("profiles/jobs/mine.yaml")
    file.parent.mkdir(parents=True)
    file.write_text("kind: ring\n", "utf-8")
    words = ["start", "linnet-front-door", "demo-woofer-130", "--name", "mine"]
    with pytest.raises(InputError, match="is there already"):
        CliRunner().invoke(commands, words, standalone_mode=False, catch_exceptions=False)
    assert file.read_text("utf-8") == "kind: ring\n"


@pytest.mark.slow
def test_it_builds_what_it_wrote(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    words = ["start", "linnet-dash-grille", "demo-tweeter-20", "--name", "mine"]
    ran = CliRunner().invoke(commands, words, standalone_mode=False)
    assert ran.return_value in (0, 1), ran.output
    assert "mine:" in ran.output
    again = CliRunner().invoke(commands, ["check", "mine"], standalone_mode=False)
    assert again.return_value == ran.return_value
    assert (tmp_path / "out" / "mine" / "report.json").is_file()
