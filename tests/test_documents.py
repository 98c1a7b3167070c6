"""What the documents promise: every code of a finding is told, and every command is."""

from __future__ import annotations

import re
from pathlib import Path

import click

from mounts.cli import commands

ROOT = Path(__file__).parents[1]
WORDS = [
    "chance",
    "clear",
    "way",
    "proven",
    "pattern",
    "hole",
    "base",
    "recess",
    "seat",
    "access",
    "screw",
    "load",
    "seal",
    "flat",
    "sound",
    "wall",
    "print",
    "solid",
]
WORDS += ["air", "passage", "wrap"]
WORDS += ["fit", "hold", "press", "size", "slit", "stake", "strain"]
BARE = r"panel\.(?:hole|grip)|heat\.(?:under|device)|aim\.(?:ear|limit)|placed|hand|shrink|heat|edges|bed|made"
CODE = re.compile(rf'"((?:{"|".join(WORDS)})(?:\.[a-z-]+)+|{BARE})"')
BEGINNINGS = {
    "wrap.thickness",
    "clear.body",
    "fit.device",
    "fit.panel",
    "hold.device",
}  # of codes, or other tables' words
PUT_TOGETHER = {
    *(
        "screw.device",
        "screw.foot",
        "screw.panel",
        "screw.speaker",
        "strain.device",
        "strain.panel",
        "size.bore",
        "size.lip",
        "size.sleeve",
    ),
    *(f"fit.{face}.{what}" for face in ("device", "panel") for what in ("grip", "play")),
}


def test_every_code_that_the_checks_use_is_told_and_no_other() -> None:
    sources = [path for room in ("checks", "kinds", "findings") for path in (ROOT / "mounts" / room).rglob("*.py")]
    used = {code for path in sources for code in CODE.findall(path.read_text("utf-8"))}
    table = (ROOT / "DEVELOPERS.md").read_text("utf-8").split("## Codes of findings")[1].split("\n## ")[0]
    rows = [line.split("|")[1] for line in table.splitlines() if line.startswith("| `")]
    assert used - BEGINNINGS | PUT_TOGETHER == {code for row in rows for code in re.findall(r"`([^`]+)`", row)}


def test_every_command_is_in_the_readme() -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    assert isinstance(commands, click.Group)
    assert [name for name in commands.commands if f"`mounts {name}" not in readme] == []
