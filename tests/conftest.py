"""A person without files or settings of their own, so that those of whoever runs the tests change nothing."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line does, before numpy is imported


@pytest.fixture(autouse=True, scope="session")
def nobody_s_own_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Points the person's own folder, here and in every process that is started, at one that is not there."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CONFIG_HOME", str(tmp_path_factory.mktemp("nobody") / "config"))
        yield
