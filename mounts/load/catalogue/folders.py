"""Folders of the libraries, layer on layer, and of each kind in them; of a file only its kind is read here.

Files that come with the program: the packaged library, and the JSON Schema in it.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping, Sequence
from os.path import relpath
from pathlib import Path
from unicodedata import normalize

from mounts.errors import InputError, Problem
from mounts.kinds.registry import KIND_MODULES

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
SUFFIXES = (".yaml", ".yml")
_KIND = re.compile(rb"^(?:\xef\xbb\xbf)?kind[ \t]*:[ \t]*[\"']?([A-Za-z-]+)", re.MULTILINE)


def shipped_library() -> Path:
    """Return the library that ships with the program: inside the wheel, or beside the package in a checkout."""
    package = Path(__file__).resolve().parents[2]
    inside = package / "_profiles"
    return inside if inside.is_dir() else package.parent / "profiles"


def shipped_schema() -> str:
    """Return the shipped JSON Schema; a test compares it with the models, so that printing it builds none."""
    return (shipped_library() / "schema.json").read_text(encoding="utf-8")


def library_layers(start: Path, given: Sequence[Path] = ()) -> tuple[Path, ...]:
    """Return the folders of the library, the topmost first: the first that has a name wins.

    They are the nearest `profiles` at or above `start`, the given ones, those of the settings, the person's own, and
    always underneath what ships with the program, also where that is the nearest.

    Args:
        start: the job's folder, or the current one.
        given: folders that the person asked for.

    Raises:
        InputError: if a given folder is not there or cannot be read, or the settings do not load.
    """
    from mounts.load.catalogue.settings import load_settings  # (which most people have none of)

    own = own_folder()
    asked = (*given, *load_settings(own).libraries)
    for folder in asked:
        if not is_folder(folder):
            raise InputError(Problem("there is no such library folder", file=folder))
    shipped = shipped_library()
    above = nearest_profiles(start)
    found = [*([above] if above else []), *asked, *([own] if is_folder(own) else [])]
    layers = {folder.resolve(): short_path(folder) for folder in reversed(found)}
    layers.pop(shipped.resolve(), None)
    return (*reversed(layers.values()), short_path(shipped))


def own_folder() -> Path:
    """Return the person's own folder: `~/.config/mounts`, or what the system has in its place."""
    from platformdirs import user_config_path

    return user_config_path("mounts", appauthor=False)


def nearest_profiles(start: Path) -> Path | None:
    """Return the nearest folder of profiles at or above a folder; None when there is none."""
    start = start.resolve()
    for folder in (start, *start.parents):
        if folder.name == "profiles":
            return folder
        if is_folder(folder / "profiles"):
            return folder / "profiles"
    return None


def is_folder(path: Path) -> bool:
    """Return whether there is such a folder; no, where that may not be known."""
    try:
        return path.is_dir()
    except OSError:
        return False


def short_path(path: Path) -> Path:
    """Return a path as seen from the current folder when it lies below it, so that messages stay short."""
    try:
        short = Path(relpath(path))
    except (OSError, ValueError):
        return path
    return path if ".." in short.parts else short


def label_of(layer: Path) -> str:
    """Return what a layer is called on the screen."""
    if layer.resolve() == shipped_library().resolve():
        return "shipped"
    return "yours" if layer.resolve() == own_folder().resolve() else str(layer)


def is_path(reference: str) -> bool:
    """Return whether a reference is a path to a file, not a name."""
    return "/" in reference or os.sep in reference or "\\" in reference or reference.endswith(SUFFIXES)


def same_name(name: str) -> str:
    """Return a name in the one form in which names are compared: systems store accents in several."""
    return normalize("NFC", name)


def yaml_files(folder: Path) -> tuple[str, ...]:
    """Return the names of a folder's YAML files, sorted; none where there is no folder.

    Raises:
        InputError: if the folder cannot be read.
    """
    try:
        with os.scandir(folder) as held:
            names = [entry.name for entry in held]
    except (FileNotFoundError, ValueError):
        return ()
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise InputError(Problem(f"the library folder {short_path(folder)} cannot be read: {reason}")) from error
    return tuple(sorted(name for name in names if name.endswith(SUFFIXES) and not name.startswith(".")))


def files_in(root: Path, kind: str) -> tuple[Path, ...]:
    """Return one layer's files of a kind, by name."""
    folder = root / FOLDERS[kind]
    return tuple(folder / name for name in yaml_files(folder))


def outside_problem(root: Path, file: Path) -> Problem | None:
    """Return what is wrong with a file of a layer that truly lies elsewhere, by a link; None when nothing is."""
    ours = file.absolute().is_relative_to(root.absolute())
    if not ours or file.resolve().is_relative_to(root.resolve()):
        return None
    return Problem("this link leads out of the library; put the file itself here", file=file)


def read_kind(file: Path) -> str:
    """Return the kind of a file as it says itself, "job" for every kind of job; "" where it says none that is known."""
    try:
        found = _KIND.search(file.read_bytes())
    except OSError:
        return ""
    word = found[1].decode() if found else ""
    return "job" if word in KIND_MODULES else word if word in FOLDERS else ""
