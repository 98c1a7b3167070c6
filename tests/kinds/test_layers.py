"""Which way imports run between kinds and what stands above them: planning needs neither checks nor papers."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "mounts"
PORT = PACKAGE.parent / "profiles" / "jobs" / "linnet-port-round.yaml"
KINDS = sorted(folder.name for folder in (PACKAGE / "kinds").iterdir() if (folder / "kind.py").exists())
ABOVE = (
    "aiming",
    "choosing",
    "adapting",
    "papers",
    "matching",
    "batch",
    "beds",
    "write",
    "cli",
    "design",
    "geometry",
    "shape",
)


def imported(file: Path) -> set[str]:
    """Every module that a file names in an import, wherever it stands."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{one.name}" for one in node.names)}
        if isinstance(node, ast.Import):
            found |= {one.name for one in node.names}
    return found


def test_the_kinds_are_found() -> None:
    assert KINDS == ["board", "cup", "ring", "spacer"]


@pytest.mark.parametrize("folder", ABOVE)
def test_what_assembles_knows_no_kind_by_name(folder: str) -> None:
    named = [f"mounts.kinds.{kind}" for kind in KINDS]
    for file in (PACKAGE / folder).rglob("*.py"):
        assert [one for one in imported(file) if one.startswith(tuple(named))] == [], file


def test_no_kind_knows_another() -> None:
    """But the cup, whose reducing sleeve is a spacer."""
    for kind in KINDS:
        others = tuple(f"mounts.kinds.{other}." for other in KINDS if other != kind)
        for file in (PACKAGE / "kinds" / kind).rglob("*.py"):
            found = {one.split(".")[2] for one in imported(file) if one.startswith(others)}
            assert found == ({"spacer"} if file.name in ("sleeve.py", "sleeve_findings.py") else set()), file


def test_the_table_of_kinds_plans_and_draws_without_checks_and_papers() -> None:
    """In a process of its own: other tests import everything."""
    asked = "[kind for word in KIND_MODULES for kind in declaration_of(word).kinds()]"
    told = f"import sys; from mounts.kinds.registry import KIND_MODULES, declaration_of; {asked}; "
    told += "print(*(name for name in sys.modules if name.startswith('mounts.')))"
    found = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True).stdout.split()
    above = ("mounts.checks", "mounts.papers", "mounts.pipeline", "mounts.made", "mounts.write", "mounts.adapting")
    assert [name for name in found if name.startswith(above)] == []
    assert "mounts.kinds.ring.plan" in found


def test_loading_knows_the_table_and_no_kind() -> None:
    """What a kind declares is imported by its name in the table; only `mounts.load` itself asks for parts."""
    allowed = "mounts.kinds.registry"
    for file in {*(PACKAGE / "load").rglob("*.py")} - {PACKAGE / "load" / "__init__.py"}:
        found = [one for one in imported(file) if one.startswith("mounts.kinds.")]
        assert [one for one in found if not one.startswith(allowed)] == [], file


def test_loading_one_kind_imports_no_plan_and_no_other_kind() -> None:
    load = f"from pathlib import Path; from mounts.load.resolve.job import load_job; load_job(Path(r'{PORT}'))"
    told = f"{load}; import sys; print(*(name for name in sys.modules if name.startswith('mounts.kinds.')))"
    found = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True).stdout.split()
    assert sorted(found) == [
        "mounts.kinds.registry",
        "mounts.kinds.spacer",
        "mounts.kinds.spacer.declaration",
        "mounts.kinds.spacer.file",
        "mounts.kinds.spacer.job",
    ]
