"""A person without files or settings of their own, so that those of whoever runs the tests change nothing.

What the tests of one run share is in `tests.shared`.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator

import pytest

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line does, before numpy is imported
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # a hundred processes are started: none compiles the package again

from mounts import pipeline
from tests import shared

pipeline.make = shared.make_once(pipeline.make)  # before any test binds it to a name


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
