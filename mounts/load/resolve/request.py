"""Request of a job's file, with everything that it refers to looked up: what each kind's own loader starts from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from mounts.errors import InputError, Problem
from mounts.kinds.registry import USUAL
from mounts.lengths import Units
from mounts.load.formats.font import ALWAYS, load_glyphs
from mounts.load.models.job import Glyph, SourceLocation
from mounts.load.models.job_file import JobFile
from mounts.load.models.panel import OTHER
from mounts.load.parse.document import Document, format_trail
from mounts.load.resolve.library import Library, Loaded, units_of_files
from mounts.load.resolve.sides import PanelT, SidePanel, panel_of_side

ModelT = TypeVar("ModelT", bound=BaseModel)
TYPED = ("panel", "port", "device")  # what a person measures; a speaker's sheet has the units of its maker


@dataclass(frozen=True)
class JobRequest:
    """A job's file, read and validated, before it is resolved into jobs.

    Attributes:
        document: what the file says, after `based_on`.
        parts: what it refers to, by its key: panel, speaker, material, printer, port, device.
        file: its values; None where they have problems.
        problems: problems of the file and of its parts.
        library: library that the parts come from.
        path: path of the file.
    """

    document: Document
    parts: Mapping[str, Loaded]
    file: JobFile | None
    problems: tuple[Problem, ...]
    library: Library
    path: Path

    @property
    def word(self) -> str:
        """Kind of mount that the file asks for; a ring where it does not say."""
        kind = self.document.data.get("kind")
        return kind if isinstance(kind, str) else USUAL

    @cached_property
    def units(self) -> Units:
        """Units in which a person reads lengths: as the settings say, else as job, panel, port and device are typed."""
        if self.library.unread:
            return Units.MM
        own = Loaded(self.file, self.document)
        return units_of_files((own, *(part for key, part in self.parts.items() if key in TYPED)))

    def piece(self, model: type[ModelT], key: str) -> ModelT | None:
        """Return one value validated on its own, so that it can be looked up even when others are wrong."""
        given = self.document.data.get(key)
        try:
            return None if given is None else model.model_validate(given)
        except ValidationError:
            return None

    def hands(self, panels: type[PanelT]) -> Iterator[SidePanel[PanelT]]:
        """Yield the panel of each side that the job asks for, where panel and sides are valid.

        Args:
            panels: the sort of panel that the kind of job goes on.
        """
        part = self.parts.get("panel")
        if part is None or part.document is None or not isinstance(part.value, panels):
            return
        given = self.document.data.get("sides", [part.value.side])
        for side in OTHER:
            if isinstance(given, list) and side in given:
                yield panel_of_side(part.value, part.document, side, self.library, self.document)

    def refused(self, problems: Iterable[Problem]) -> InputError:
        """Return all problems in one error: without repeats, the job's own file first, then each file by line."""
        unique = dict.fromkeys([*self.problems, *problems])
        ordered = sorted(unique, key=lambda p: (p.file != self.path, str(p.file or ""), p.line, p.column))
        return InputError(*ordered)

    def common(self, panel: Document | None = None) -> dict[str, Any]:
        """Return what a resolved job of any kind takes from its file, except its side.

        Args:
            panel: where the readings of the side's own panel stand.
        """
        file = self.file
        assert file is not None
        return {
            "name": file.name,
            "about": file.about,
            "file": self.document.file,
            "digest": self.document.digest,
            "kind": file.kind,
            "make": file.make,
            "material": file.material,
            "printer": file.printer,
            "label": file.label,
            "limits": file.limits,
            "vehicle": file.vehicle,
            "date": file.date,
            "notes": file.notes,
            "glyphs": self._letters(),
            "places": self._places(panel),
            "units": self.units,
        }

    def _letters(self) -> Mapping[str, Glyph]:
        file = self.file
        return load_glyphs((file.name, ALWAYS)) if file and file.label and not self.library.unread else {}

    def _places(self, panel: Document | None) -> dict[str, SourceLocation]:
        """Return where every value stands, those of parts under the part's key; for a mere list only the job."""
        if self.library.unread:
            return {"": SourceLocation(self.document.file)}
        places = {
            format_trail(trail): SourceLocation(*spot, format_trail(trail))
            for trail, spot in self.document.values.items()
        }
        documents = {key: part.document for key, part in self.parts.items()}
        for key, part in (documents | ({"panel": panel} if panel else {})).items():
            if part is None:
                continue
            for trail, spot in part.values.items():
                if len(trail) > len(part.base) and trail[: len(part.base)] == part.base:
                    places[f"{key}.{format_trail(trail[len(part.base) :])}"] = SourceLocation(
                        *spot, format_trail(trail)
                    )
        return places
