"""Where a library lies, and the folder of each kind in it; nothing is read here."""

from __future__ import annotations

from collections.abc import Mapping
from os.path import relpath
from pathlib import Path

from mounts.errors import InputError, Problem
from mounts.load.shipped import packaged

FOLDERS: Mapping[str, str] = {
    "panel": "panels",
    "speaker": "speakers",
    "material": "materials",
    "printer": "printers",
    "hardware": "hardware",
    "port": "ports",
    "device": "devices",
    "job": "jobs",
    "kit": "kits",
}


def library_folder(job: Path | None = None, given: Path | None = None) -> Path:
    """The library to use: the given one, else the nearest `profiles` above the job or the folder, else the packaged.

    Args:
        job: the job's file; the current folder counts when there is none.
        given: what the person asked for.

    Raises:
        InputError: if the given folder is not there.
    """
    if given is not None:
        if not given.is_dir():
            raise InputError(Problem("there is no such library folder", file=given))
        return given
    own = nearest(job.parent if job else Path())
    return near(own if own else packaged())


def nearest(start: Path) -> Path | None:
    """The nearest folder of profiles at or above a folder; None when there is none."""
    start = start.resolve()
    for folder in (start, *start.parents):
        if folder.name == "profiles":
            return folder
        if (folder / "profiles").is_dir():
            return folder / "profiles"
    return None


def near(path: Path) -> Path:
    """A path as seen from the current folder when it lies below it, so that messages stay short."""
    try:
        short = Path(relpath(path))
    except (OSError, ValueError):
        return path
    return path if ".." in short.parts else short


def files_in(root: Path, kind: str) -> tuple[Path, ...]:
    """The library's files of a kind, by name."""
    folder = root / FOLDERS[kind]
    return tuple(folder / name for name in sorted(path.name for path in folder.glob("*.yaml")))


def led_away(root: Path, file: Path) -> Problem | None:
    """What is wrong with a file of the library that truly lies elsewhere, by a link; None when nothing is."""
    ours = file.absolute().is_relative_to(root.absolute())
    if not ours or file.resolve().is_relative_to(root.resolve()):
        return None
    return Problem("this link leads out of the library; put the file itself here", file=file)
