"""What a person reads is in plain words: every text of the program and every command's help, against the list in
DEVELOPERS.md."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from mounts.cli import commands
from mounts.cli.library import TOPICS, read_topic

ROOT = Path(__file__).parents[1]


def words_to_avoid() -> tuple[str, ...]:
    """The first column of the table under "Words"."""
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8").partition("## Words\n")[2].partition("\n## ")[0]
    rows = re.findall(r"^\| ([a-z, ]+) \| .* \|$", text, re.MULTILINE)
    return tuple(word.strip() for row in rows if row != "avoid" for word in row.split(","))


AVOIDED = re.compile(rf"\b(?:{'|'.join(words_to_avoid())})\b", re.IGNORECASE)


def texts(path: Path) -> Iterator[tuple[int, str]]:
    """Every string of more than one word in a module that is no docstring: labels, messages, advice, help."""
    tree = ast.parse(path.read_text("utf-8"))
    documents = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        text = node.value if isinstance(node, ast.Constant) and id(node) not in documents else None
        if isinstance(node, ast.expr) and isinstance(text, str) and " " in text.strip():
            yield node.lineno, text


def test_the_list_has_words() -> None:
    assert {"told", "reckoned", "heed", "anew", "whence"} <= set(words_to_avoid())


def test_no_text_of_the_program_has_a_word_to_avoid() -> None:
    found = [
        f"{path.relative_to(ROOT)}:{line}: {AVOIDED.findall(text)}: {text.strip()}"
        for path in sorted((ROOT / "mounts").rglob("*.py"))
        for line, text in texts(path)
        if AVOIDED.search(text)
    ]
    assert found == []


@pytest.mark.parametrize("name", sorted(commands.commands))
def test_no_command_s_help_has_a_word_to_avoid(name: str) -> None:
    command = commands.commands[name]
    told = command.get_help(click.Context(command, info_name=f"mounts {name}"))
    assert AVOIDED.findall(told) == []


@pytest.mark.parametrize("topic", TOPICS)
def test_no_page_of_help_has_a_word_to_avoid(topic: str) -> None:
    assert AVOIDED.findall(read_topic(topic)) == []
