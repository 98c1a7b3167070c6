"""A kit's booklet: one PDF for all its parts, with the beds; kept between runs like the parts themselves."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from mounts.batch.bundle import bundled, unpacked
from mounts.batch.encoded import decoded, encoded
from mounts.batch.key import hash_of
from mounts.batch.run import Result, Shop
from mounts.batch.work import SHEETS
from mounts.findings.kit import LaidOut
from mounts.findings.report import PartReport, Verdict
from mounts.kernels.part import Part
from mounts.kinds.kind import Plan
from mounts.kinds.table import KINDS
from mounts.load.kit import Kit
from mounts.made import Made
from mounts.write.files import safe_name
from mounts.write.output import NOT_OK, PAPERS, TO_THE_TOOL, Wish

if TYPE_CHECKING:
    from mounts.papers.values import Block, Sheet

OLD = (f"{PAPERS}.pdf", f"{PAPERS}.{NOT_OK}.pdf")


def papers_of(
    kit: Kit, results: Sequence[Result], beds: tuple[LaidOut, Mapping[str, bytes]], wish: Wish, shop: Shop
) -> dict[str, bytes]:
    """Name and contents of a kit's booklet; nothing where it is not wanted, or nothing was made.

    Args:
        kit: what was wanted.
        results: its parts, made or kept.
        beds: where they lie, and the pictures of that.
        wish: formats and paper.
        shop: where it is kept between runs.
    """
    found = {(one.job.name, one.job.part): one for one in results if one.bundle is not None}
    done = [found[at] for part in kit.parts if (at := (part.job.name, part.job.part)) in found]
    if "pdf" not in wish.formats or not done:
        return {}
    copies = {(part.job.name, part.job.part): part.copies for part in kit.parts}
    counts = tuple(copies[one.job.name, one.job.part] for one in done)
    laid, files = beds
    key = hash_of([shop.program, PAPERS, kit.name, [one.key for one in done], counts, encoded(laid), wish.paper])
    if (kept := shop.store.recall(key)) is not None:
        return unpacked(kept).files()
    made = {_name(done): _pdf(kit, done, counts, (laid, files), wish)}
    shop.store.keep(key, bundled(kit.name, PartReport("", ()), made, None).packed)
    return made


def _name(done: Sequence[Result]) -> str:
    bad = any(one.bundle is not None and one.bundle.report.verdict is Verdict.FAIL for one in done)
    return OLD[bad]


def _pdf(
    kit: Kit, done: Sequence[Result], counts: tuple[int, ...], beds: tuple[LaidOut, Mapping[str, bytes]], wish: Wish
) -> bytes:
    from mounts.papers.booklet import OfKit, booklet  # noqa: PLC0415
    from mounts.write.booklet import booklet_pdf  # noqa: PLC0415

    made = [_again(one) for one in done]
    pictures: dict[int, bytes] = {}
    names: dict[int, str] = {}
    for number, one in enumerate(done):
        assert one.bundle is not None
        files = one.bundle.files()
        picture = next((data for name, data in files.items() if name.endswith(".png")), None)
        pictures |= {number: picture} if picture else {}
        own = next((name for form in TO_THE_TOOL for name in files if name.endswith(form)), "")
        names[number] = f"{safe_name(one.job.name)}/{own}" if own else ""
    more = OfKit(counts, tuple(_sheets(one) for one in done), tuple(_beds(*beds)))
    return booklet_pdf(booklet(kit.name, made, pictures, names, more), wish.paper)


def _again(one: Result) -> Made:
    """A part as the papers need it, with the mesh that was kept: one kept from an earlier run is planned once more."""
    assert one.bundle is not None
    kind = KINDS[one.job.kind, one.job.make]
    plan: Plan = one.bundle.plan or kind.plan(one.job)
    solid = one.bundle.solid()
    assert solid is not None
    vertices, triangles = solid
    none = np.zeros(len(triangles), dtype=np.int64)
    part = Part(plan.name, "kept", vertices, triangles, none, none, (), 0.0, np.zeros(3), 1, 1, plan.genus)
    return Made(one.job, plan, kind.shape(plan), part, one.bundle.report)


def _sheets(one: Result) -> tuple[Sheet, ...]:
    from mounts.design import view  # noqa: PLC0415
    from mounts.papers import values  # noqa: PLC0415

    assert one.bundle is not None
    held = one.bundle.beside(SHEETS)
    types = [kind for room in (view, values) for kind in vars(room).values() if isinstance(kind, type)]
    sheets: tuple[Sheet, ...] = decoded(json.loads(held), types) if held else ()
    return sheets


def _beds(laid: LaidOut, files: Mapping[str, bytes]) -> Iterator[Block]:
    """A table of the beds, and the picture of each."""
    from mounts.papers.values import TICK, Pictures, Table, Words  # noqa: PLC0415

    if not laid.beds:
        return
    rows = tuple(
        (
            TICK,
            str(bed.number),
            f"{bed.printer}, {bed.material}",
            ", ".join(name + (f" × {count}" if count > 1 else "") for name, count in bed.parts),
            f"{bed.estimate.grams:.0f} g, {bed.estimate.hours:.1f} h",
        )
        for bed in laid.beds
    )
    yield Words("Each bed is one file, bed-1.3mf and so on, that opens in a slicer as it is laid.")
    yield Table(("printed", "bed", "printer, material", "parts", "about"), rows, (1.2, 0.8, 2.6, 5.4, 2.0), strong=(1,))
    shown = [(files[f"bed-{bed.number}.png"], f"bed {bed.number}") for bed in laid.beds]
    yield from (Pictures(tuple(shown[k : k + 2])) for k in range(0, len(shown), 2))
