"""What a writer imports before it is used: `mounts --help` must stay light."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = {"numpy", "PIL", "cadquery", "OCP", "trimesh", "embreex", "ezdxf", "reportlab", "rich", "fontTools", "scipy"}


@pytest.mark.parametrize(
    ("module", "allowed"),
    [
        ("files", set()),
        ("formats", set()),
        ("text_shaping", set()),
        ("report", set()),
        ("screen", set()),
        ("tiles", set()),
        ("template", set()),
        ("dxf", set()),
        ("stl", {"numpy"}),
        ("threemf", {"numpy"}),
        ("picture", {"numpy"}),
    ],
)
def test_importing_a_writer_imports_no_heavy_library(module: str, allowed: set[str]) -> None:
    script = f"import sys, mounts.write.{module}; print(*{{name.split('.')[0] for name in sys.modules}})"
    loaded = set(
        subprocess.run([sys.executable, "-c", script], check=True, capture_output=True, text=True).stdout.split()
    )
    assert loaded & HEAVY <= allowed
