"""A person without files or settings of their own, so that those of whoever runs the tests change nothing.

What the tests of one run share is in `tests.shared`.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from typing import Any

import pytest

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line does, before numpy is imported
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # a hundred processes are started: none compiles the package again

from mounts import pipeline
from mounts.kinds.ring import plan
from tests import shared

pipeline.make = shared.make_once(pipeline.make)  # before any test binds it to a name
plan.draft_ring = shared.plan_once(plan.draft_ring)

LONG = ("fuzz/", "scale/", "write/page/", "kinds/ring/", "cli/test_kit", "batch/")  # begun first, a file at a time
APART = ("test_profiles", "cli/test_adapt", "adapting/test_sleeve")  # last, test by test: no test
# of these files needs what another one made, but for the parts that all share


def pytest_configure(config: pytest.Config) -> None:
    """Makes the folder of what the tests of this run share; a worker is given its run's."""
    if not hasattr(config, "workerinput"):
        os.environ[shared.FOLDER] = tempfile.mkdtemp(prefix="mounts-tests-")


def pytest_unconfigure(config: pytest.Config) -> None:
    """Takes it away again."""
    if not hasattr(config, "workerinput"):
        shutil.rmtree(os.environ.pop(shared.FOLDER), ignore_errors=True)


@pytest.fixture(autouse=True, scope="session")
def nobody_s_own_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Points the person's own folder, here and in every process that is started, at one that is not there."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CONFIG_HOME", str(tmp_path_factory.mktemp("nobody") / "config"))
        yield


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Puts long files first and those that can be divided last, so that no worker is left alone with a long one."""
    items.sort(key=lambda item: (_is_of(item.nodeid, APART), not _is_of(item.nodeid, LONG)))


def _is_of(nodeid: str, files: tuple[str, ...]) -> bool:
    return nodeid.startswith(tuple(f"tests/{name}" for name in files))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Deals out files in the order above, and tests of a divided file one by one."""
    if config.getvalue("dist") != "loadfile":
        return None
    from xdist.scheduler import LoadFileScheduling

    class Dealer(LoadFileScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return nodeid if _is_of(nodeid, APART) else super()._split_scope(nodeid)

    config.option.loadscopereorder = False  # by the number of tests, of which a long file may have one
    return Dealer(config, log)
