"""Declaration of the spacer: how its jobs are loaded, and what plans them.

A spacer is one sleeve or its two halves; it belongs to no side of the vehicle.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Literal

from mounts.errors import Problem
from mounts.kinds.registry import WORKSHOP, Declaration
from mounts.kinds.spacer.file import SpacerFile
from mounts.kinds.spacer.job import SpacerJob
from mounts.load.models.port import Port
from mounts.load.parse.document import Document
from mounts.load.parse.typed_units import find_units
from mounts.load.resolve.request import JobRequest

if TYPE_CHECKING:
    from mounts.kinds.kind import Kind

OWN = (
    *("at", "fit", "hold", "bump", "lip", "stop", "length", "recess", "slit", "slit_at", "slit_width", "fits"),
    "replaces",
)


def spacer_jobs(asked: JobRequest) -> tuple[SpacerJob, ...]:
    """Return one spacer, or one for each half; raise InputError with every problem found."""
    file = asked.file
    problems = list(_contradictions(file, asked.document)) if isinstance(file, SpacerFile) else []
    if problems or asked.problems or not isinstance(file, SpacerFile):
        raise asked.refused(problems)
    own = {key: getattr(file, key) for key in OWN}
    sides: tuple[Literal["", "a", "b"], ...] = ("a", "b") if file.slit == "halves" else ("",)
    return tuple(SpacerJob(**asked.common(), side=side, port=file.port, device=file.device, **own) for side in sides)


def _contradictions(file: SpacerFile, document: Document) -> Iterator[Problem]:
    """Yield the contradictions within a spacer job."""
    if isinstance(file.port, Port):
        yield from _port(file.port, document)
    if isinstance(file.device, Port):
        yield from _device(file, file.device, document)
    if file.label:
        yield document.problem(("label",), "a spacer has no room for lettering; leave label out")
    if file.slit is None:
        for key in ("slit_at", "slit_width"):
            if getattr(file, key) is not None:
                yield document.problem((key,), f"{key} is given but no slit; give slit: true, or leave {key} out")
    for face in ("panel", "device"):
        if getattr(file.hold, face) == "ribs" and (word := getattr(file.fit, face)) != "press":
            what = f"ribs press, and the fit is {word}; give fit: {{{face}: press}}, or hold: {{{face}: wall}}"
            yield document.problem(("hold", face), what)


def _port(port: Port, document: Document) -> Iterator[Problem]:
    if port.opening is None:
        yield document.problem(("port",), f"{port.name} has no opening; give opening, such as {{round: 29.2}}")
    if port.depth is None:
        what = f"{port.name} has no depth; give depth: how far a sleeve may reach behind the face"
        yield document.problem(("port",), what)
    elif port.panel is not None and port.panel > port.depth:
        panel, depth = map(find_units(document, port), (port.panel, port.depth))
        what = f"the panel is {panel} thick and the depth {depth}; the depth is at least the panel's"
        yield document.problem(("port",), what)


def _device(file: SpacerFile, device: Port, document: Document) -> Iterator[Problem]:
    if device.body is None:
        yield document.problem(("device",), f"{device.name} has no body; give body, such as {{round: 22.4}}")
        return
    if device.cable is not None and device.cable > device.body.least:
        cable, body = map(find_units(document, device), (device.cable, device.body.least))
        what = f"the cable is {cable} and the body {body} across; a cable is thinner"
        yield document.problem(("device",), what)
    if file.stop and device.length is None:
        yield document.problem(("stop",), f"a stop needs the device's length, and {device.name} has none; give length")


def _kinds() -> Mapping[tuple[str, str], Kind]:
    from mounts.kinds.spacer.kind import SPACER

    return {("spacer", "print"): SPACER}


DECLARATION = Declaration(
    file=SpacerFile,
    parts={"port": "port", "device": "port", **WORKSHOP},
    resolve=spacer_jobs,
    kinds=_kinds,
)
