"""Names in a library of several layers: which file each one means. Nothing but folders and kinds is read here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path

from mounts.errors import InputError, Problem
from mounts.load.catalogue.folders import (
    FOLDERS,
    is_path,
    label_of,
    library_layers,
    read_kind,
    same_name,
    short_path,
    yaml_files,
)
from mounts.load.parse.units import list_names, quote_value

LEARNED = "learned.yaml"
MANY = 2  # kinds from which on they are not listed one by one
HERE = Path("here")  # a file in the current folder, as which the command line counts


@dataclass(frozen=True)
class Layers:
    """The folders of a library, the topmost first; what was listed once is kept.

    Attributes:
        roots: the folders.
    """

    roots: tuple[Path, ...]
    _listed: dict[Path, dict[str, list[Path]]] = field(default_factory=dict, repr=False, compare=False)

    def listed(self, folder: Path) -> dict[str, list[Path]]:
        """Return the YAML files of a folder by name; of one name there may be two."""
        if folder not in self._listed:
            found: dict[str, list[Path]] = {}
            for name in yaml_files(folder):
                found.setdefault(same_name(name.rpartition(".")[0]), []).append(folder / name)
            self._listed[folder] = found
        return self._listed[folder]

    def files(self, kind: str) -> tuple[Path, ...]:
        """Return the files of a kind by name, each from the first layer that has it; of hardware, those of all layers.

        Raises:
            InputError: if a layer has two files of one name.
        """
        folders = [self.listed(root / FOLDERS[kind]) for root in self.roots]
        if kind == "hardware":
            return tuple(file for listed in folders for files in listed.values() for file in files)
        found: dict[str, Path] = {}
        for listed in folders:
            for name, files in listed.items():
                found.setdefault(name, self._one(files))
        return tuple(found[name] for name in sorted(found))

    def names(self, kind: str) -> tuple[str, ...]:
        """Return the names of the files of a kind."""
        return tuple(sorted({name for root in self.roots for name in self.listed(root / FOLDERS[kind])}))

    def own_names(self, kind: str) -> tuple[str, ...]:
        """Return the names of the person's own files of a kind; of all, where there are none."""
        own = tuple(root for root in self.roots if label_of(root) != "shipped")
        return Layers(own).names(kind) or self.names(kind)

    def find(self, kinds: Sequence[str], reference: str, beside: Path) -> Path:
        """Return the file that a name or a path means.

        Args:
            kinds: those it may be of, one or several.
            reference: a name, or a path from the file `beside` in which it is written.
            beside: that file. A file beside it comes before those of the library.

        Raises:
            InputError: if there is none, if it is of another kind, or if it lies outside the library and that folder.
        """
        path = beside.parent / reference if is_path(reference) else self.named(kinds, reference, beside)
        try:
            folders = [folder.resolve() for folder in (*self.roots, beside.parent)]
            free = beside == HERE and is_path(reference)
            inside = path is None or free or any(path.resolve().is_relative_to(folder) for folder in folders)
            exists = inside and path is not None and path.exists()
        except (OSError, ValueError, RuntimeError):
            inside, exists = True, False
        if not inside:
            raise InputError(
                Problem(f"{quote_value(reference)} leaves the library and the folder of this file; keep it inside")
            )
        if path is None or not exists:
            raise InputError(Problem(self._unknown(kinds, reference, beside)))
        return short_path(path)

    def holds(self, kind: str, file: Path) -> bool:
        """Return whether a file lies where the library keeps those of a kind, so that its name alone means it."""
        return file.parent.resolve() in self._folders((kind,))

    def _folders(self, kinds: Sequence[str]) -> list[Path]:
        return [(root / FOLDERS[kind]).resolve() for root in self.roots for kind in kinds]

    def named(self, kinds: Sequence[str], name: str, beside: Path) -> Path | None:
        """Return the file of some kinds that a name means, written in the file `beside`; None when there is none."""
        wanted, folder = same_name(name), beside.parent
        listed = self._beside(folder)
        if wanted in listed and folder.resolve() not in self._folders(kinds):
            fitting = [file for file in listed[wanted] if read_kind(file) in (*kinds, "")]
            if fitting:
                return self._one(fitting)
        for root in self.roots:
            files = [file for kind in kinds for file in self.listed(root / FOLDERS[kind]).get(wanted, ())]
            if files:
                return self._one(files)
        return None

    def _beside(self, folder: Path) -> dict[str, list[Path]]:
        try:
            return self.listed(folder)
        except InputError:
            return {}

    @staticmethod
    def _one(files: Sequence[Path]) -> Path:
        if len(files) == 1:
            return files[0]
        several = " and ".join(str(short_path(file)) for file in files)
        raise InputError(Problem(f'two files are called "{files[0].stem}": {several}; keep one, or give its path'))

    def _unknown(self, kinds: Sequence[str], reference: str, beside: Path) -> str:
        wanted = " or a ".join(kinds)
        if is_path(reference):
            folder = (beside.parent / reference).parent
            there = self._beside(folder)
            stem = Path(reference).stem
            close = get_close_matches(stem, there, 1, 0.7)
            hint = f'; did you mean "{there[close[0]][0].name}"?' if close else ""
            if not close and self.named(kinds, stem, beside) is not None:
                hint = f'; the library has "{stem}": write that name alone'
            return f"there is no file {quote_value(reference)} beside this one{hint}"
        for kind in FOLDERS:
            if kind not in kinds and kind != "hardware" and self.named((kind,), reference, beside) is not None:
                return f"{reference} is a {kind}; give a {wanted}"
        names = self.names_from(beside, kinds)
        folded = {name.casefold(): name for name in names}
        close = get_close_matches(reference.casefold(), folded, 1, 0.5)
        sought = " or ".join(kinds) if len(kinds) <= MANY else "file of the library is called"
        what = f"no {sought} {quote_value(reference)} {self._where(beside)}"
        if close:
            return f'{what}; did you mean "{folded[close[0]]}"?'
        own = [name for name in names if not self._is_shipped(kinds, name)]
        return (
            f"{what}; there: {list_names(own or names, kinds[0])}" if len(kinds) <= MANY else f"{what}; see mounts list"
        )

    def names_from(self, beside: Path, kinds: Sequence[str]) -> list[str]:
        """Return the names of some kinds that a file can write: of those beside it, and of the library's."""
        here = {
            name
            for name, files in self._beside(beside.parent).items()
            if any(read_kind(file) in kinds for file in files)
        }
        return sorted(here.union(*(self.names(kind) for kind in kinds)))

    def _is_shipped(self, kinds: Sequence[str], name: str) -> bool:
        return not any(name in self.listed(root / FOLDERS[kind]) for root in self.roots[:-1] for kind in kinds)

    def _where(self, beside: Path) -> str:
        """Return where a name was looked for."""
        names = ["what is shipped" if label_of(root) == "shipped" else str(root) for root in self.roots]
        places = ["here" if beside == HERE else "beside this file", *(f"in {name}" for name in names)]
        return f"{', '.join(places[:-1])} or {places[-1]}"


def learned_files(roots: Sequence[Path]) -> tuple[Path, ...]:
    """Return the file in which a workshop keeps what it learned, of the topmost layer that has one; none where none."""
    return tuple(file for root in roots if (file := root / LEARNED).is_file())[:1]


def locate(kinds: Sequence[str], reference: str, given: Sequence[Path] = ()) -> Path:
    """Return the file that a name or a path on the command line means.

    Args:
        kinds: those it may be of, one or several.
        reference: a path from the current folder, or the name of a file there or in the library.
        given: library folders that the person asked for.

    Raises:
        InputError: if there is none, or if it is of another kind.
    """
    if is_path(reference):
        path = Path(reference)
        if not path.exists() and not path.is_symlink():
            raise InputError(Problem("there is no such file", file=path))
        return path
    return Layers(library_layers(Path(), given)).find(kinds, reference, HERE)
