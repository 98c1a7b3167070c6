"""The library: profiles by kind in folders that lie over each other, each loaded once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from mounts.errors import InputError, Problem
from mounts.kinds.registry import KIND_MODULES
from mounts.lengths import Units
from mounts.load.catalogue.folders import (
    FOLDERS,
    library_layers,
    nearest_profiles,
    outside_problem,
    own_folder,
    same_name,
    short_path,
)
from mounts.load.catalogue.layers import HERE, Layers
from mounts.load.catalogue.settings import load_settings
from mounts.load.models.device import Device
from mounts.load.models.fastener import Item
from mounts.load.models.hardware import Hardware
from mounts.load.models.panel import Panel
from mounts.load.models.pins import PinPanel
from mounts.load.models.port import Port
from mounts.load.models.speaker import Speaker
from mounts.load.models.workshop import Material, Printer
from mounts.load.parse.document import Document, read
from mounts.load.parse.messages import validation_problems
from mounts.load.parse.typed_units import typed_units
from mounts.load.parse.units import quote_value
from mounts.load.resolve.contradictions import find_contradictions
from mounts.load.resolve.drawings import drawing_trails, read_outlines
from mounts.load.resolve.survey import needs_survey, survey_panel

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

    @property
    def units(self) -> Units:
        """Units in which a person reads its lengths: as the settings say, else as the file is typed."""
        return units_of_files((self,))


def units_of_files(files: Iterable[Loaded]) -> Units:
    """Return the units in which a person reads lengths: as the settings say, else as all of some files are typed."""
    typed = [(one.document.data, type(one.value)) for one in files if one.document and isinstance(one.value, BaseModel)]
    return load_settings(own_folder()).units or typed_units(typed)


@dataclass(frozen=True)
class Library:
    """The profiles in some layers; what was read once is kept.

    Attributes:
        root: folder of the topmost layer.
        below: folders of the others, the next one first.
        unread: whether DXF files need only be there and no font is read, which is enough, and quicker, for a list.
    """

    root: Path
    below: tuple[Path, ...] = ()
    unread: bool = False
    _kept: dict[Path, Loaded] = field(default_factory=dict, init=False, repr=False, compare=False)
    _bought: dict[Path, dict[str, tuple[Item, Document]]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    @cached_property
    def layers(self) -> Layers:
        """Its folders, and which file each name means."""
        return Layers((self.root, *self.below))

    @property
    def kept(self) -> Mapping[Path, Loaded]:
        """Every profile that was read so far, by its file."""
        return self._kept

    def files(self, kind: str) -> tuple[Path, ...]:
        """Return the files of a kind by name, each from the topmost layer that has it; of hardware, of all layers."""
        return self.layers.files(kind)

    def names(self, kind: str) -> tuple[str, ...]:
        """Return the names of a kind's profiles; of hardware, those of the items in all its files."""
        return tuple(self.hardware()) if kind == "hardware" else self.layers.names(kind)

    def get(self, kind: str, reference: str, beside: Path = HERE) -> Loaded:
        """Return the profile that a name or a path refers to; arguments and errors are those of `find`."""
        return self.load(kind, self.find(kind, reference, beside))

    def find(self, kind: str, reference: str, beside: Path = HERE) -> Path:
        """Return the file that a reference means.

        Args:
            kind: panel, speaker, material, printer, port, device, job or kit.
            reference: a name beside the file `beside` or in the library, or a path from that file.
            beside: the file in which it is written; one in the current folder for the command line.

        Raises:
            InputError: if it does not exist, is of another kind or lies outside the library and that file's folder.
        """
        return self.layers.find((kind,), reference, beside)

    def load(self, kind: str, file: Path) -> Loaded:
        """Load the profile of a kind in a file."""
        if file not in self._kept:
            away = tuple(filter(None, (outside_problem(root, file) for root in self.layers.roots)))
            self._kept[file] = Loaded(None, None, away) if away else load_profile(kind, file, unread=self.unread)
        return self._kept[file]

    def item(self, name: str) -> tuple[Item, Document] | None:
        """Return a hardware item and its branch of the file; only files that mention it are parsed.

        None where a file that may hold it does not load, whatever a lower one holds: see `hiding`.
        """
        for file in self.files("hardware"):
            if mentions(file, name):
                if name in (held := self._items(file)):
                    return held[name]
                if self.load("hardware", short_path(file)).value is None:
                    return None
        return None

    def hiding(self, name: str) -> tuple[Problem, ...]:
        """Return the problems of hardware files that may hold an item and do not load."""
        return tuple(p for file in self.files("hardware") if mentions(file, name) for p in self._wrong(file))

    def _wrong(self, file: Path) -> tuple[Problem, ...]:
        loaded = self.load("hardware", short_path(file))
        return loaded.problems if loaded.value is None else ()

    def hardware(self) -> dict[str, tuple[Item, Document]]:
        """Return every hardware item that loads, by name, with its branch of the file."""
        found: dict[str, tuple[Item, Document]] = {}
        for root in self.layers.roots:
            held = [self._items(file) for file in Layers((root,)).files("hardware")]
            of_layer = {name: item for items in reversed(held) for name, item in items.items()}
            found |= {name: item for name, item in of_layer.items() if name not in found}
        return found

    def _items(self, file: Path) -> dict[str, tuple[Item, Document]]:
        if file not in self._bought:
            self._bought[file] = self._named(file)
        return self._bought[file]

    def _named(self, file: Path) -> dict[str, tuple[Item, Document]]:
        loaded = self.load("hardware", short_path(file))
        if loaded.document is None or not isinstance(loaded.value, Hardware):
            return {}
        found: dict[str, tuple[Item, Document]] = {}
        for name, item in loaded.value.items.items():
            named = item.model_copy(update={"name": name, "source": item.source or loaded.value.source})
            found[name] = (named, loaded.document.under("items", name))
        return found

    def hardware_problems(self) -> tuple[Problem, ...]:
        """Return the problems of the hardware files whose items are missing."""
        return tuple(p for file in self.files("hardware") for p in self._wrong(file))


def find_library(job: Path | None = None, given: Path | Sequence[Path] | None = None) -> Library:
    """Find the library that a job sees.

    Args:
        job: its file. A job of a lower layer, such as a shipped one, is seen from the current folder, as None is.
        given: folders that the person asked for.

    Raises:
        InputError: as `library_layers` does.
    """
    asked = (given,) if isinstance(given, Path) else tuple(given or ())
    here = library_layers(Path(), asked)
    if job is not None and not _is_of(job, here):
        here = library_layers(job.parent, asked)
    return Library(here[0], here[1:])


def _is_of(job: Path, layers: Sequence[Path]) -> bool:
    """Return whether a job lies in a layer and below no nearer folder of profiles."""
    place = job.parent.resolve()
    above = nearest_profiles(place)
    inside = [root for root in layers if place.is_relative_to(root.resolve())]
    return bool(inside) and (above is None or any(root.resolve() == above.resolve() for root in inside))


def mentions(file: Path, name: str) -> bool:
    """Return whether a file's bytes hold a name; true for a file that cannot be read."""
    try:
        return name.encode() in file.read_bytes()
    except (OSError, UnicodeEncodeError):
        return True


def load_profile(kind: str, file: Path, *, unread: bool = False) -> Loaded:
    """Read and check one profile on its own."""
    try:
        document = read(file)
    except InputError as error:
        return Loaded(None, None, error.problems)
    return validate_profile(kind, document, stem=file.stem, unread=unread)


def validate_profile(kind: str, document: Document, *, stem: str | None = None, unread: bool = False) -> Loaded:
    """Validate a document, or a branch of one, as a profile of a kind.

    Args:
        kind: what it must be.
        document: what it says.
        stem: the file's stem, which the name must equal; None for a profile given in place.
        unread: whether DXF files need only be there, and readings need not be solved.
    """
    if other := _other_kind(kind, document):
        return Loaded(None, document, (*document.problems, other))
    data, missing = read_outlines(document, unread=unread)
    problems = [*document.problems, *_not_a(kind, document), *name_problems(document, stem), *missing]
    model = model_of(kind, document.data)
    try:
        value = model.model_validate(data)
    except ValidationError as error:
        problems += validation_problems(error, model, document, problems)
        return Loaded(None, document, tuple(problems))
    later = unread and bool(drawing_trails(document) or (isinstance(value, Panel) and needs_survey(value)))
    if not problems and not later and isinstance(value, Panel):
        value, problems = survey_panel(value, document)
    if not problems and not later:
        problems = list(find_contradictions(value, document))
    return Loaded(None if problems else value, document, tuple(problems))


def model_of(kind: str, data: object) -> type[BaseModel]:
    """Return the model of a kind of profile; a panel with pins has a model of its own."""
    return PinPanel if kind == "panel" and isinstance(data, dict) and "pins" in data else MODELS[kind]


def _other_kind(kind: str, document: Document) -> Problem | None:
    """Return the problem of a file of another kind, of which nothing else is worth reporting."""
    given = document.data.get("kind")
    if not isinstance(given, str) or given == kind or given not in (*FOLDERS, *KIND_MODULES):
        return None
    known = "job" if given in KIND_MODULES else given
    return document.problem(("kind",), f"{document.data.get('name', document.file.stem)} is a {known}; give a {kind}")


def _not_a(kind: str, document: Document) -> Iterator[Problem]:
    given = document.data.get("kind")
    if isinstance(given, str) and given != kind:
        yield document.problem(("kind",), f"kind is {quote_value(given)}; a {kind} is needed here")


def name_problems(document: Document, stem: str | None) -> Iterator[Problem]:
    """Yield a problem where the name is not the file's, since profiles refer to each other by name."""
    name = document.data.get("name")
    if stem is not None and isinstance(name, str | int) and same_name(str(name)) != same_name(stem):
        what = f"the name is {quote_value(str(name))} but the file is {quote_value(document.file.name)}"
        yield document.problem(("name",), f"{what}; they must be the same")
