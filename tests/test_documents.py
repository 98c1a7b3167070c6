"""What the documents promise: every code of a finding is in its table, and every command is told."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from textwrap import fill

import click
import numpy as np
from PIL import Image

from mounts.cli import commands
from mounts.findings.codes import CODES, ROWS
from mounts.write.formats import FORMATS
from tests.codes_table import DOCUMENT, rewritten

ROOT = Path(__file__).parents[1]


def test_the_table_of_codes_is_as_they_are_declared() -> None:
    text = DOCUMENT.read_text("utf-8")
    assert rewritten(text) == text, "write it with: python -m tests.codes_table"


def test_no_code_is_declared_twice() -> None:
    assert len(CODES) == sum(len(row.names.split()) for row in ROWS)


def test_every_code_that_is_declared_is_used() -> None:
    strings, begun = [], []
    for path in (ROOT / "mounts").rglob("*.py"):
        if path.name != "codes.py":
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                if isinstance(node, ast.Constant):
                    strings.append(node.value)
                if isinstance(node, ast.JoinedStr):
                    begun.append(
                        "".join(
                            re.escape(part.value) if isinstance(part, ast.Constant) else "[a-z-]+"
                            for part in node.values
                        )
                    )
    put_together = [re.compile(pattern) for pattern in set(begun) if re.match(r"[a-z]+\\\.", pattern)]
    unused = [code for code in CODES if code not in strings and not any(one.fullmatch(code) for one in put_together)]
    assert unused == []


def test_every_command_is_in_the_readme() -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    assert isinstance(commands, click.Group)
    assert [name for name in commands.commands if not re.search(f"`mounts {name}[ `]", readme)] == []


def test_the_readme_is_short_and_its_pictures_are_there() -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    assert len(readme.splitlines()) <= 150
    cells = re.findall(r"^\| `mounts [^|]*\| ([^|]*) \|$", readme, re.MULTILINE)
    assert cells and max(len(cell.split()) for cell in cells) <= 12
    pictures = re.findall(r"!\[[^]]+\]\(([^)]+)\)", readme)
    assert len(pictures) == 2
    for picture in pictures:
        with Image.open(ROOT / picture) as image:
            assert image.width >= 600 and np.asarray(image.convert("L")).std() > 20, "it shows something"


def test_every_format_has_its_row_in_the_help_on_files() -> None:
    page = (ROOT / "mounts/data/help/files.txt").read_text("utf-8")
    for suffix, one in FORMATS.items():
        name = f"{'papers' if one.needs == 'set' else 'left'}.{suffix}"
        assert fill(name.ljust(22) + one.use, 78, subsequent_indent=" " * 22) + "\n" in page


def test_every_path_that_the_developers_are_sent_to_exists() -> None:
    """Paths in backticks from the root or from `mounts/`; a name after a dot is one of that module."""
    text = DOCUMENT.read_text("utf-8")
    paths = {path for path in re.findall(r"`([\w./]+)`", text) if "/" in path}
    assert len(paths) > 40
    missing = []
    for path in sorted(paths):
        module = (
            re.sub(r"\.[A-Za-z_]+$", "", path) if Path(path).suffix not in (".py", ".md", ".yaml", ".json") else path
        )
        places = [ROOT / module, ROOT / "mounts" / module]
        if not any(place.exists() or place.with_suffix(".py").exists() for place in places):
            missing.append(path)
    assert missing == []
