"""Measurements of a panel and a loudspeaker in, printable mounts that fit out.

As a library: `load` reads a job's file and gives one job for each part, `make` plans, builds and checks a part.

    >>> import mounts
    >>> (job,) = mounts.load("profiles/jobs/linnet-port-round.yaml")
    >>> made = mounts.make(job)
    >>> made.solid.isValid(), made.mesh.is_watertight
    (True, True)
    >>> isinstance(made, mounts.Made), isinstance(made.report, mounts.PartReport)
    (True, True)
    >>> made.report.verdict is mounts.Verdict.WARN
    True
    >>> all(isinstance(finding, mounts.Finding) for finding in made.report.findings)
    True
    >>> [finding.what for finding in made.report.findings if finding.code == "fit.growth"]
    ['hole growth in pc-abs, not measured']
    >>> isinstance(made.report.estimate, mounts.Estimate)
    True
    >>> mounts.preview(job).kernel  # for a quick look: no exact solid, nothing checked
    'mesh'
    >>> try:
    ...     mounts.load("profiles/jobs/nowhere.yaml")
    ... except mounts.InputError as error:
    ...     [isinstance(problem, mounts.Problem) for problem in error.problems]
    [True]
    >>> [issubclass(one, mounts.MountsError) for one in (mounts.InputError, mounts.KernelError)]
    [True, True]

`made.solid` is a `cadquery.Solid` and `made.mesh` a `trimesh.Trimesh`, both in the panel's frame in mm, and
`made.report` holds every finding. `made.assembly()` is a coloured `cadquery.Assembly` of the part among the real things
round it. Wrong input raises `InputError`, whose `problems` say what is wrong and where. The names in `__all__` are the
public ones; nothing else is promised to stay. Each is imported when it is first used.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mounts.errors import InputError, KernelError, MountsError, Problem
    from mounts.findings.report import Estimate, Finding, PartReport, Verdict
    from mounts.made import Made
    from mounts.pipeline import make, preview

__version__ = "0.1.0"
__all__ = [  # noqa: RUF022 - in the order in which they are used
    "load",
    "make",
    "preview",
    "Made",
    "PartReport",
    "Finding",
    "Verdict",
    "Estimate",
    "MountsError",
    "InputError",
    "Problem",
    "KernelError",
    "__version__",
]

_HOMES = {
    "make": "mounts.pipeline",
    "preview": "mounts.pipeline",
    "Made": "mounts.made",
    **dict.fromkeys(("PartReport", "Finding", "Verdict", "Estimate"), "mounts.findings.report"),
    **dict.fromkeys(("MountsError", "InputError", "Problem", "KernelError"), "mounts.errors"),
}


def __getattr__(name: str) -> object:
    """Return a public name, imported now."""
    if name == "load":
        return import_module("mounts.load")  # a package that can be called
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value: object = getattr(import_module(_HOMES[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """Return the public names."""
    return sorted(__all__)
