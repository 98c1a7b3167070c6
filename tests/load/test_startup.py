"""Loading must not pull in what is slow to import."""

import subprocess
import sys
from pathlib import Path

import pytest

HEAVY = ("numpy", "cadquery", "OCP", "trimesh", "ezdxf", "fontTools", "scipy", "shapely", "rich", "PIL", "reportlab")
PATH = "from pathlib import Path; "
LOAD = PATH + "from mounts.load.resolve.job import load_job; assert len(load_job(Path(r'{job}'))) == 2"
LIST = PATH + "from mounts.load.catalogue.layers import Layers; from mounts.load.catalogue.index import list_entries; "
LIST += "assert list_entries(Layers((Path(r'{library}'),)))"
CHECKED = PATH + "from mounts.load.resolve.library import Library; "
CHECKED += (
    "from mounts.load.resolve.library_check import check_library; assert check_library(Library(Path(r'{library}')))"
)


@pytest.mark.parametrize("work", [LOAD, LIST, CHECKED], ids=["load", "list", "list --check"])
def test_nothing_heavy_is_imported(profiles: Path, work: str) -> None:
    told = "; import sys; print([name for name in {heavy} if name in sys.modules])"
    script = (work + told).format(job=profiles / "jobs" / "linnet-woofer.yaml", library=profiles, heavy=HEAVY)
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    lettering = ["fontTools"] if work is LOAD else []  # a job with a label reads its letters' outlines
    assert ran.stdout.strip() == str(lettering)


def test_a_list_needs_no_models(profiles: Path) -> None:
    script = LIST.format(library=profiles) + "; import sys; print('pydantic' in sys.modules)"
    assert (
        subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True).stdout == "False\n"
    )
