"""No module outside a kind's own folders names a kind: not its folder, its classes or its word."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from mounts.kinds.registry import KIND_MODULES, declaration_of

PACKAGE = Path(__file__).parents[2] / "mounts"
FOLDERS = {kind: [PACKAGE / above / kind for above in ("kinds", "checks")] for kind in KIND_MODULES}
OWN = [folder for folders in FOLDERS.values() for folder in folders]
TABLE = PACKAGE / "kinds" / "registry.py"
OTHERS = sorted(
    path for path in PACKAGE.rglob("*.py") if path != TABLE and not any(path.is_relative_to(own) for own in OWN)
)


def named_in(path: Path) -> Iterator[str]:
    """Every module and class that a file names, and every text that it holds."""
    tree = ast.parse(path.read_text("utf-8"))
    for node in ast.walk(tree):
        match node:
            case ast.ImportFrom(module=str(module), names=names):
                yield module
                yield from (one.name for one in names)
            case ast.Import(names=names):
                yield from (one.name for one in names)
            case ast.Name(id=name) | ast.Attribute(attr=name) | ast.ClassDef(name=name) if not name.islower():
                yield name
            case ast.Constant(value=str(text)):
                yield text


def classes_of(kind: str) -> set[str]:
    """Names of the classes that a kind's own folders define and that bear its name."""
    trees = (ast.parse(path.read_text("utf-8")) for folder in FOLDERS[kind] for path in folder.rglob("*.py"))
    names = {node.name for tree in trees for node in ast.walk(tree) if isinstance(node, ast.ClassDef)}
    return {name for name in names if name.startswith(kind.title())} - {kind.title()}


@pytest.mark.parametrize("kind", KIND_MODULES)
def test_nobody_else_names_a_kind(kind: str) -> None:
    known = {kind, *classes_of(kind)}
    assert {declaration_of(kind).file.__name__, f"{kind.title()}Job"} <= known
    folders = tuple(f"mounts.{above}.{kind}" for above in ("kinds", "checks"))
    for path in OTHERS:
        found = [name for name in named_in(path) if name in known or name.startswith(folders)]
        assert [name for name in found if path.name != "identity.py"] == [], path  # which has every part's label
