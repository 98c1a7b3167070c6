"""The pages of `mounts help`: their examples are files that load, and their commands are commands that exist."""

from __future__ import annotations

import re
from pathlib import Path
from textwrap import dedent

import click
import pytest
import yaml
from click.testing import CliRunner

import mounts
from mounts.cli import commands
from mounts.cli.library import TOPICS, read_topic

PAGES = Path(mounts.__file__).parent / "data" / "help"


def example_of(text: str) -> str | None:
    """The indented file of a page that begins with its kind."""
    found = re.search(r"^    kind: .*\n(?:(?:    .*)?\n)*?(?=^\S|\Z)", text, re.MULTILINE)
    return None if found is None else dedent(found[0])


def test_every_page_is_a_topic_and_none_is_missing() -> None:
    assert sorted(page.stem for page in PAGES.iterdir()) == sorted(TOPICS)


@pytest.mark.parametrize("topic", TOPICS)
def test_a_page_fits_the_screen(topic: str) -> None:
    lines = read_topic(topic).splitlines()
    assert len(lines) <= 45
    assert max(map(len, lines)) <= 79


@pytest.mark.parametrize("topic", [topic for topic in TOPICS if topic != "files"])
def test_its_example_loads(topic: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = example_of(read_topic(topic))
    assert text is not None
    name, kind = (yaml.safe_load(text)[key] for key in ("name", "kind"))
    (tmp_path / f"{name}.yaml").write_text(text, "utf-8")
    monkeypatch.chdir(tmp_path)
    if kind in ("panel", "kit"):
        ran = CliRunner().invoke(commands, ["list", kind, "--check", "--json"], standalone_mode=False)
        assert ran.return_value == 0, ran.output
        assert f'"{name}"' in ran.output
    else:
        assert {job.name for job in mounts.load(f"{name}.yaml")} == {name}


@pytest.mark.parametrize("topic", TOPICS)
def test_its_commands_and_options_exist(topic: str) -> None:
    assert isinstance(commands, click.Group)
    text = read_topic(topic)
    named = set(re.findall(r"(?<![\[./])\bmounts ([a-z]+)\b", text))
    assert named <= set(commands.commands)
    known = {option for one in commands.commands.values() for given in one.params for option in given.opts}
    assert set(re.findall(r"--[a-z-]+", text)) <= known


def test_alone_it_lists_the_topics() -> None:
    ran = CliRunner().invoke(commands, ["help"])
    assert ran.exit_code == 0
    assert [line.split()[2] for line in ran.output.splitlines()] == list(TOPICS)
