"""Raw bindings of the CAD kernel: each function that uses them says so, or its module does, with the reason."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "mounts"
FILES = [path for path in sorted(PACKAGE.rglob("*.py")) if "OCP" in path.read_text("utf-8")]


def raw_names(tree: ast.Module) -> set[str]:
    """Names of a module that hold the bindings or something of theirs: those that are made at its top as well."""
    names = {"OCP"}
    for node in tree.body:
        if isinstance(node, ast.Assign) and names & used_in(node.value):
            names |= {one.id for target in node.targets for one in ast.walk(target) if isinstance(one, ast.Name)}
    return names


def used_in(node: ast.AST) -> set[str]:
    """Names that a piece of code reads, and the modules that it imports from."""
    read = {one.id for one in ast.walk(node) if isinstance(one, ast.Name)}
    return read | {str(one.module).split(".")[0] for one in ast.walk(node) if isinstance(one, ast.ImportFrom)}


def says_why(node: ast.Module | ast.FunctionDef) -> bool:
    """Whether a docstring speaks of raw bindings and gives a reason."""
    said = (ast.get_docstring(node) or "").casefold()
    return "raw binding" in said and any(word in said for word in ("cadquery", "which"))


def test_they_are_where_solids_are_made_and_written() -> None:
    folders = {path.relative_to(PACKAGE).parts[0] for path in FILES}
    assert folders == {"kernels", "write"}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_each_use_says_why(path: Path) -> None:
    tree = ast.parse(path.read_text("utf-8"))
    raw = raw_names(tree)
    uses = [one for one in ast.walk(tree) if isinstance(one, ast.FunctionDef) and raw & used_in(one)]
    assert [one.name for one in uses if not (says_why(one) or says_why(tree))] == []
