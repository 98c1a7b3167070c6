"""Where `Any` may stand: beside what has no types of its own, and nowhere that kinds meet."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "mounts"
UNTYPED = {  # files and folders, and what has no types there
    "load": "values of YAML, as they stand in a file; pydantic's schemas; drawings, fonts and archives",
    "kernels": "the CAD kernel's own values",
    "write": "the same, and canvases of reportlab, pillow's and embree's values, JSON",
    "batch": "tasks and results of a pool of workers",
    "matching/index.py": "JSON of the index",
    "design/plate.py": "skfem's values",
    "cli/start.py": "click's parameters",
}


def nodes_of(path: Path) -> Iterator[ast.AST]:
    """Every node of a file's syntax tree."""
    return ast.walk(ast.parse(path.read_text("utf-8")))


def is_untyped(path: Path) -> bool:
    """Whether a file may say `Any`."""
    name = path.relative_to(PACKAGE).as_posix()
    return name in UNTYPED or name.split("/")[0] in UNTYPED


FILES = sorted(PACKAGE.rglob("*.py"))


@pytest.mark.parametrize("folder", sorted({path.relative_to(PACKAGE).parts[0] for path in FILES}))
def test_any_stands_only_beside_what_has_no_types(folder: str) -> None:
    for path in (path for path in FILES if path.relative_to(PACKAGE).parts[0] == folder and not is_untyped(path)):
        names = [node.lineno for node in nodes_of(path) if isinstance(node, ast.Name) and node.id == "Any"]
        assert names == [], path


def test_every_row_is_needed() -> None:
    for name in UNTYPED:
        files = [PACKAGE / name] if name.endswith(".py") else sorted((PACKAGE / name).rglob("*.py"))
        assert any(isinstance(node, ast.Name) and node.id == "Any" for path in files for node in nodes_of(path)), name


def test_no_type_is_asserted_where_kinds_meet() -> None:
    """A kind's job and plan are known to the type checker: nothing says so once more while it runs."""
    for folder in ("kinds", "papers", "adapting", "aiming", "choosing", "checks"):
        for path in sorted((PACKAGE / folder).rglob("*.py")):
            asserted = [node.test for node in nodes_of(path) if isinstance(node, ast.Assert)]
            calls = [test.func for test in asserted if isinstance(test, ast.Call)]
            assert not any(isinstance(call, ast.Name) and call.id == "isinstance" for call in calls), path
