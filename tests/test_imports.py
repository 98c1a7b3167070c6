"""Which folder may import which: each is held to its row, and a row names nothing that is not used."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "mounts"
ALLOWED = {
    "__init__": "findings made pipeline",
    "__main__": "cli",
    "adapting": (
        "findings geometry kinds load/catalogue load/editing load/models load/parse load/resolve made papers "
        "pipeline shape write"
    ),
    "again": "findings load/models load/resolve load/results write",
    "aiming": "checks design findings geometry kernels kinds load/models load/parse load/resolve progress shape write",
    "batch": (
        "beds design findings geometry kernels kinds load/models load/resolve load/results made papers pipeline write"
    ),
    "beds": "findings load/models",
    "calibrating": (
        "checks design findings kernels kinds load/catalogue load/editing load/formats load/models "
        "load/parse load/resolve pipeline write"
    ),
    "checks": "design findings geometry kernels kinds load/models shape",
    "choosing": "findings geometry kinds load/catalogue load/editing load/models load/parse load/resolve",
    "cli": (
        "adapting again aiming batch calibrating choosing design findings fitted foreign kinds learning load/catalogue "
        "load/editing load/formats load/models load/parse load/resolve load/results matching pipeline "
        "progress trials write"
    ),
    "design": "findings geometry load/models load/parse shape",
    "findings": "geometry",
    "fitted": "design findings kinds learning load/models load/parse load/resolve load/results write",
    "foreign": "checks findings kernels kinds load/models",
    "kernels": "geometry shape",
    "kinds": (
        "adapting checks design findings geometry kernels load/editing load/models load/parse "
        "load/resolve made papers pipeline progress shape"
    ),
    "learning": "design geometry load/models",
    "load": "kinds load/models load/resolve",
    "load/catalogue": "kinds load/parse write",
    "load/editing": "load/catalogue load/parse load/resolve",
    "load/formats": "geometry kernels load/models load/parse",
    "load/models": "geometry load/parse",
    "load/parse": "kinds",
    "load/resolve": "geometry kinds learning load/catalogue load/editing load/formats load/models load/parse",
    "load/results": "findings load/catalogue load/models load/parse",
    "made": "findings kernels kinds shape",
    "matching": "design geometry kinds load/catalogue load/editing load/models load/parse load/resolve write",
    "papers": "checks design findings geometry kernels kinds load/models load/parse made shape",
    "pipeline": "beds checks findings kernels kinds load/models load/results made progress shape write",
    "shape": "geometry",
    "trials": "checks findings kernels kinds load/models pipeline shape write",
    "write": (
        "beds design findings geometry kernels kinds load/editing load/models load/parse load/resolve "
        "load/results made papers shape"
    ),
}


def folder_of(parts: tuple[str, ...]) -> str:
    """The folder, the room of `load/`, or the single file at the top, to which a module belongs."""
    if parts[0] == "load" and len(parts) > 1 and (PACKAGE / "load" / parts[1]).is_dir():
        return f"load/{parts[1]}"
    return parts[0]


def imported_by(path: Path) -> Iterator[str]:
    """Every folder of the package that a file imports, wherever in it the import stands."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        names = []
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "mounts":
            names = [f"mounts.{one.name}" for one in node.names] if node.module == "mounts" else [node.module]
        if isinstance(node, ast.Import):
            names = [one.name for one in node.names if one.name.startswith("mounts.")]
        yield from (folder_of(tuple(name.split(".")[1:])) for name in names)


def imports() -> dict[str, set[str]]:
    """By folder, the other folders that its files import."""
    found: dict[str, set[str]] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        own = folder_of(path.relative_to(PACKAGE).with_suffix("").parts)
        found.setdefault(own, set()).update(
            set(imported_by(path)) - {own, "errors", "identity", "lengths", "__version__"}
        )
    return found


FOUND = imports()


def test_every_folder_has_a_row() -> None:
    assert sorted(ALLOWED) == sorted(name for name, others in FOUND.items() if others)


@pytest.mark.parametrize("folder", sorted(ALLOWED))
def test_a_folder_imports_what_its_row_names(folder: str) -> None:
    assert sorted(FOUND[folder]) == sorted(ALLOWED[folder].split())
