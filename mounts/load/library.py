"""The library: a folder of profiles by kind, and the one place that looks a name up."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from mounts.errors import InputError, Problem
from mounts.load.contradictions import contradictions
from mounts.load.drawn import drawn, with_outlines
from mounts.load.folders import FOLDERS, files_in, led_away, library_folder, near
from mounts.load.models.device import Device
from mounts.load.models.hardware import Hardware, Item
from mounts.load.models.panel import Panel
from mounts.load.models.pins import PinPanel
from mounts.load.models.port import Port
from mounts.load.models.speaker import Speaker
from mounts.load.models.workshop import Material, Printer
from mounts.load.problems import nearest, problems_of
from mounts.load.read import Document, read
from mounts.load.surveys import surveyed, to_survey
from mounts.load.units import shown, some

MODELS: Mapping[str, type[BaseModel]] = {
    "panel": Panel,
    "speaker": Speaker,
    "material": Material,
    "printer": Printer,
    "hardware": Hardware,
    "port": Port,
    "device": Device,
}


@dataclass(frozen=True)
class Loaded:
    """A profile's value, None where it has problems, and the document that it came from."""

    value: Any
    document: Document | None
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class Library:
    """The profiles under `root`; what was read once is kept.

    Attributes:
        root: the folder.
        unread: whether DXF files need only be there and no font is read, which is enough, and quicker, for a list.
    """

    root: Path
    unread: bool = False
    _kept: dict[Path, Loaded] = field(default_factory=dict, repr=False, compare=False)
    _files: dict[str, tuple[Path, ...]] = field(default_factory=dict, repr=False, compare=False)
    _bought: dict[Path, dict[str, tuple[Item, Document]]] = field(default_factory=dict, repr=False, compare=False)

    def files(self, kind: str) -> tuple[Path, ...]:
        """The files of a kind, by name."""
        if kind not in self._files:
            self._files[kind] = files_in(self.root, kind)
        return self._files[kind]

    def names(self, kind: str) -> tuple[str, ...]:
        """The names of a kind's profiles; of hardware, those of the items in all its files."""
        if kind == "hardware":
            return tuple(self.hardware())
        return tuple(file.stem for file in self.files(kind))

    def get(self, kind: str, reference: str, beside: Path) -> Loaded:
        """The profile that a name or a relative path refers to.

        Args:
            kind: panel, speaker, material, printer, port or device.
            reference: a name in the library, or a path from the file `beside` in which it is written.
            beside: that file.

        Raises:
            InputError: if it does not exist or lies outside the library and that file's folder.
        """
        return self.load(kind, self.find(kind, reference, beside))

    def find(self, kind: str, reference: str, beside: Path) -> Path:
        """The file that a reference means; raises as `get` does."""
        if "/" in reference or "\\" in reference or reference.endswith((".yaml", ".yml")):
            path, allowed = beside.parent / reference, [self.root, beside.parent]
        else:
            path, allowed = self.root / FOLDERS[kind] / f"{reference}.yaml", [self.root]
        try:
            inside = any(path.resolve().is_relative_to(folder.resolve()) for folder in allowed)
            exists = inside and path.exists()
        except (OSError, ValueError, RuntimeError):
            inside, exists = True, False
        if not inside:
            raise InputError(
                Problem(f"{shown(reference)} leaves the library and the folder of this file; keep it inside")
            )
        if not exists:
            raise InputError(Problem(self._unknown(kind, reference)))
        return near(path)

    def _unknown(self, kind: str, reference: str) -> str:
        if "/" in reference or reference.endswith((".yaml", ".yml")):
            return f"there is no file {shown(reference)} beside this one"
        names = self.names(kind)
        close = nearest(reference, names)
        hint = f'did you mean "{close}"?' if close else f"there: {some(names, kind)}"
        return f"no {kind} {shown(reference)} in {near(self.root / FOLDERS[kind])}; {hint}"

    def load(self, kind: str, file: Path) -> Loaded:
        """The profile of a kind in a file."""
        if file not in self._kept:
            away = led_away(self.root, file)
            self._kept[file] = Loaded(None, None, (away,)) if away else load_profile(kind, file, unread=self.unread)
        return self._kept[file]

    def item(self, name: str) -> tuple[Item, Document] | None:
        """One hardware item with the branch of its file that holds it; only files that mention it are parsed."""
        for file in self.files("hardware"):
            known = file in self._bought or mentions(file, name)
            if known and name in (held := self._items(file)):
                return held[name]
        return None

    def hardware(self) -> dict[str, tuple[Item, Document]]:
        """Every hardware item that loads, by name, with the branch of its file that holds it."""
        held = [self._items(file) for file in self.files("hardware")]
        return {name: found for items in reversed(held) for name, found in items.items()}

    def _items(self, file: Path) -> dict[str, tuple[Item, Document]]:
        if file not in self._bought:
            self._bought[file] = self._named(file)
        return self._bought[file]

    def _named(self, file: Path) -> dict[str, tuple[Item, Document]]:
        loaded = self.load("hardware", near(file))
        if loaded.document is None or not isinstance(loaded.value, Hardware):
            return {}
        found: dict[str, tuple[Item, Document]] = {}
        for name, item in loaded.value.items.items():
            named = item.model_copy(update={"name": name, "source": item.source or loaded.value.source})
            found[name] = (named, loaded.document.under("items", name))
        return found

    def hardware_problems(self) -> tuple[Problem, ...]:
        """What is wrong with hardware files, whose items are therefore missing."""
        return tuple(p for file in self.files("hardware") for p in self.load("hardware", near(file)).problems)


def find_library(job: Path | None = None, given: Path | None = None) -> Library:
    """The library to use, as `library_folder` finds it; raises as it does."""
    return Library(library_folder(job, given))


def mentions(file: Path, name: str) -> bool:
    """Whether a file's bytes hold a name; a file that cannot be read counts as one that may."""
    try:
        return name.encode() in file.read_bytes()
    except (OSError, UnicodeEncodeError):
        return True


def load_profile(kind: str, file: Path, *, unread: bool = False) -> Loaded:
    """Reads and checks one profile by itself."""
    try:
        document = read(file)
    except InputError as error:
        return Loaded(None, None, error.problems)
    return checked(kind, document, stem=file.stem, unread=unread)


def checked(kind: str, document: Document, *, stem: str | None = None, unread: bool = False) -> Loaded:
    """A document, or the branch of one, as a profile of a kind.

    Args:
        kind: what it must be.
        document: what it says.
        stem: the file's stem, which the name must equal; None for a profile given in place.
        unread: whether DXF files need only be there, and readings need not be solved.
    """
    data, missing = with_outlines(document, unread=unread)
    problems = [*document.problems, *_not_a(kind, document), *misnamed(document, stem), *missing]
    model = model_of(kind, document.data)
    try:
        value = model.model_validate(data)
    except ValidationError as error:
        problems += problems_of(error, model, document, problems)
        return Loaded(None, document, tuple(problems))
    later = unread and bool(drawn(document) or (isinstance(value, Panel) and to_survey(value)))
    if not problems and not later and isinstance(value, Panel):
        value, problems = surveyed(value, document)
    if not problems and not later:
        problems = list(contradictions(value, document))
    return Loaded(None if problems else value, document, tuple(problems))


def model_of(kind: str, data: object) -> type[BaseModel]:
    """The model of a profile of a kind; a panel that has pins is one of pins."""
    return PinPanel if kind == "panel" and isinstance(data, dict) and "pins" in data else MODELS[kind]


def _not_a(kind: str, document: Document) -> Iterator[Problem]:
    given = document.data.get("kind")
    if isinstance(given, str) and given != kind:
        yield document.problem(("kind",), f"kind is {shown(given)}; a {kind} is needed here")


def misnamed(document: Document, stem: str | None) -> Iterator[Problem]:
    """A name that is not its file's; names are how profiles refer to each other."""
    name = document.data.get("name")
    if stem is not None and isinstance(name, str | int) and str(name) != stem:
        what = f"the name is {shown(str(name))} but the file is {shown(document.file.name)}; they must be the same"
        yield document.problem(("name",), what)
