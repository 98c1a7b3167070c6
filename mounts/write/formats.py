"""The file formats of a part: one writer each, its suffix, what it needs and what its file is for.

Nothing heavy is imported before a writer is called, so that the command line can offer the formats at once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from mounts.findings.report import Pose
    from mounts.geometry.frames import Vector
    from mounts.kernels.part import Part
    from mounts.lengths import Units
    from mounts.made import Made

LEGENDS, LETTERS = 5, 66  # marks that a picture explains, and letters in a line of that


@dataclass(frozen=True, slots=True)
class Source:
    """Input of a writer.

    Attributes:
        title: title of the file, for people.
        part: part with its solid.
        pose: how it lies on the printer's bed, which files for the slicer are written in.
        marks: places in the panel frame, mm, that a picture numbers.
        legend: what is at each of them.
        made: the job, plan and checks behind the part; None for a part without a job of its own.
    """

    title: str
    part: Part
    pose: Pose
    marks: Sequence[Vector] = ()
    legend: Sequence[str] = ()
    made: Made | None = None


@dataclass(frozen=True, slots=True)
class Format:
    """One format.

    Attributes:
        use: what its file is for, as `mounts help files` says it.
        needs: the part alone, what was made of it (plan and checks), or all parts of a set.
        write: the writer; None for a set's booklet, which `output` puts together.
        make: how a part must be made that this format is for; None for either way.
    """

    use: str
    needs: Literal["part", "made", "set"]
    write: Callable[[Source], bytes] | None = None
    make: Literal["print", "cut"] | None = None


def _stl(source: Source) -> bytes:
    from mounts.write.stl import stl_bytes

    return stl_bytes(source.part, source.pose)


def _step(source: Source) -> bytes:
    from mounts.write.step import step_bytes

    return step_bytes(source.part)


def _3mf(source: Source) -> bytes:
    from mounts.write.threemf import PlacedPart, threemf_bytes

    return threemf_bytes(source.title, [PlacedPart(source.part, source.title, (source.pose,))])


def png_of(source: Source) -> bytes:
    """Return the picture of a part."""
    from mounts.write.picture import png_bytes

    names = source.made.kind.review().papers.points(source.made.job) if source.made else {}
    units = source.made.job.units if source.made else Units.MM
    said = enumerate(source.legend[:LEGENDS], 1)
    legend = [line for k, text in said for line in wrap(f"{k} {text}", LETTERS, subsequent_indent="  ")]
    more = len(source.legend) - LEGENDS
    legend += [f"and {more} more: report.json has them in this order"] if more > 0 else []
    return png_bytes(source.part, marks=source.marks, caption=source.title, names=names, legend=legend, units=units)


def _dxf(source: Source) -> bytes:
    from mounts.write.dxf import dxf_bytes

    assert source.made is not None
    return dxf_bytes(source.made.plan.paper)


def _html(source: Source) -> bytes:
    from mounts.write.page.html import page_html

    assert source.made is not None
    return page_html(source.made)


FORMATS: dict[str, Format] = {
    "stl": Format("for the slicer, in print pose", "part", _stl, "print"),
    "step": Format("for CAD and the record, in the panel's frame", "part", _step),
    "3mf": Format("for the slicer, in print pose, in millimetres", "part", _3mf, "print"),
    "png": Format("a look before you print", "part", png_of),
    "pdf": Format(
        "for the bench: hardware, the work in order, drawings, caliper sizes, templates at 1:1 (check their bars)",
        "set",
    ),
    "dxf": Format("the cutting file of a flat ring: CUT, ENGRAVE, REF", "made", _dxf, "cut"),
    "html": Format("turn, cut and measure it in a browser, offline", "made", _html),
}
TO_THE_TOOL = ("3mf", "stl", "dxf", "step")  # what slicer or saw takes, the best first
