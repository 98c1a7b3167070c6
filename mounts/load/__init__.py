"""Loading of YAML files into frozen, validated `Job` values; the only stage that reads files.

The package itself can be called: `mounts.load("job.yaml")` is how somebody who writes a program reads a job.
"""

from __future__ import annotations

import sys
from os import PathLike
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mounts.load.models.job import Job


class _Load(ModuleType):
    """This package, callable, since the verb and the stage have one name."""

    def __call__(self, path: str | PathLike[str], library: str | PathLike[str] | None = None) -> tuple[Job, ...]:
        """Return one job for each part that a job's file asks for: one a side, two of a side in halves.

        Args:
            path: the job's file.
            library: folder of profiles; the nearest one above the file when not given, else those that ship with it.

        Raises:
            mounts.InputError: with every problem found, each with its file and line.

        >>> import mounts
        >>> [job.part for job in mounts.load("profiles/jobs/linnet-woofer.yaml")]
        ['left', 'right']
        >>> mounts.load("profiles/jobs/linnet-sedan.yaml")
        Traceback (most recent call last):
        mounts.errors.InputError: profiles/jobs/linnet-sedan.yaml there is no such file
        """
        from mounts.kinds.kind import parts
        from mounts.load.resolve.job import load_job

        return parts(load_job(Path(path), None if library is None else Path(library)))


sys.modules[__name__].__class__ = _Load
