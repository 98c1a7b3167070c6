"""Declaration of the board and of the printed foot under one that is cut: what loads and what plans them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from mounts.errors import Problem
from mounts.kinds.board.file import BoardFile
from mounts.kinds.board.job import BoardJob, FootJob, PlacedDevice
from mounts.kinds.registry import WORKSHOP, Declaration
from mounts.load.models.hardware import Insert, Through
from mounts.load.models.job import SpeakerFixing
from mounts.load.models.job_file import FixSpeaker
from mounts.load.parse.document import Document, Trail
from mounts.load.resolve.fasteners import Fasteners
from mounts.load.resolve.request import JobRequest

if TYPE_CHECKING:
    from mounts.kinds.kind import Kind

OWN = ("thickness", "outline", "margin", "passages", "edge", "feet", "glue", "wrap", "room", "place", "nearby")


def board_jobs(asked: JobRequest) -> tuple[BoardJob | FootJob, ...]:
    """Return the board, and its foot where it is cut; raise InputError with every problem found."""
    fasteners = Fasteners(asked.library, asked.document)
    usual = fasteners.speaker(asked.piece(FixSpeaker, "fix_devices"), ("fix_devices",))
    to_feet = fasteners.speaker(asked.piece(FixSpeaker, "fix_feet"), ("fix_feet",))
    file = asked.file
    if not isinstance(file, BoardFile):
        raise asked.refused(fasteners.problems)
    fixes = {name: _own(fasteners, file, name, usual) for name in file.devices}
    problems = [*fasteners.problems, *_contradictions(file, asked.document, fixes, to_feet)]
    if problems or asked.problems:
        raise asked.refused(problems)
    common = {**asked.common(), "label": "sunk" if file.label and file.make == "cut" else None}
    devices = tuple(
        PlacedDevice(name, one.device, one.at, one.turn, fix)
        for name, one in file.devices.items()
        if (fix := fixes[name]) is not None
    )
    own = {key: getattr(file, key) for key in OWN}
    board = BoardJob(**common, **own, side="", devices=devices, fix_feet=to_feet)
    if file.make == "print":
        return (board,)
    of_foot = {**common, "kind": "foot", "make": "print", "material": file.feet.material, "label": None}
    return board, FootJob(**of_foot, side="foot", board=board)


def _own(fasteners: Fasteners, file: BoardFile, name: str, usual: SpeakerFixing | None) -> SpeakerFixing | None:
    fix = file.devices[name].fix
    return usual if fix is None else fasteners.speaker(fix, ("devices", name, "fix"))


def _contradictions(
    file: BoardFile, document: Document, fixes: dict[str, SpeakerFixing | None], to_feet: SpeakerFixing | None
) -> Iterator[Problem]:
    """Yield the contradictions within a board job."""
    feet, cut = file.feet, file.make == "cut"
    if feet.at is not None and len(feet.at) < 3:
        yield document.problem(("feet", "at"), f"{len(feet.at)} feet do not stand; give three or more")
    if cut and feet.material is None:
        yield document.problem(("feet",), "the feet of a cut board are printed; give feet: {material: …}")
    if cut and file.fix_feet is None:
        yield document.problem(("fix_feet",), "is missing; a cut board is screwed to its feet: give it, as pilot-4.0")
    if file.label == "raised" or (not cut and document.data.get("label")):
        what = "names are engraved, and only where the board is cut; leave label out, or give false"
        yield document.problem(("label",), what)
    for key, given in (("feet.material", feet.material), ("fix_feet", file.fix_feet)):
        if not cut and given is not None:
            what = f"a printed board has its feet on it; leave {key} out, or make: cut"
            yield document.problem(tuple(key.split(".")), what)
    if to_feet is not None and isinstance(to_feet.hardware, Through):
        what = "a foot is glued down and no nut can be held under it; take a pilot or an insert"
        yield document.problem(("fix_feet",), what)
    if to_feet is not None and to_feet.screw is None:
        yield document.problem(("fix_feet",), "the library holds no screw for it; give {hardware, screw}")
    for name, fix in fixes.items():
        own: Trail = ("devices", name, "fix") if file.devices[name].fix else ("fix_devices",)
        if cut and fix is not None and isinstance(fix.hardware, Insert):
            what = "a heat-set insert holds in printed plastic; in a sheet take a pilot or a through bolt"
            yield document.problem(own, what)
            return


def _kinds() -> Mapping[tuple[str, str], Kind]:
    from mounts.kinds.board.kind import BOARD, FOOT

    return {("board", "cut"): BOARD, ("board", "print"): BOARD, ("foot", "print"): FOOT}


DECLARATION = Declaration(
    file=BoardFile,
    parts={"devices.*.device": "device", "feet.material": "material", **WORKSHOP},
    resolve=board_jobs,
    kinds=_kinds,
)
