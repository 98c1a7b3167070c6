"""A kit's booklet: one PDF for all its parts, with the beds; kept between runs like the parts themselves."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from mounts.batch.bundle import decode, encode, pack_bundle
from mounts.batch.run import Result, Shop, hash_of, recall_bundle
from mounts.batch.work import CHAPTER, PICTURE
from mounts.findings.kit import LaidOut
from mounts.findings.report import PartReport
from mounts.load.resolve.kit import Kit
from mounts.write.files import safe_name
from mounts.write.output import Wish, papers_name, tool_file

if TYPE_CHECKING:
    from mounts.papers.entry import BookletEntry
    from mounts.papers.values import Block


def papers_of(
    kit: Kit, results: Sequence[Result], beds: tuple[LaidOut, Mapping[str, bytes]], wish: Wish, shop: Shop
) -> dict[str, bytes]:
    """Return name and contents of a kit's booklet; nothing where it is not wanted, or nothing was made.

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
    key = hash_of([shop.program, "papers", kit.name, [one.key for one in done], counts, encode(beds[0]), wish.paper])
    if (kept := recall_bundle(shop.store, key, kit.name)) is not None:
        return kept.files()
    made = _booklet(kit, done, counts, beds, wish)
    shop.store.keep(key, pack_bundle(kit.name, PartReport("", ()), made, None).packed)
    return made


def _booklet(
    kit: Kit, done: Sequence[Result], counts: Sequence[int], beds: tuple[LaidOut, Mapping[str, bytes]], wish: Wish
) -> dict[str, bytes]:
    from mounts.papers.booklet import booklet
    from mounts.write.booklet import booklet_pdf

    entries = [_entry(one, count) for one, count in zip(done, counts, strict=True)]
    return {papers_name(entries): booklet_pdf(booklet(kit.name, entries, tuple(_beds(*beds))), wish.paper)}


def _entry(one: Result, copies: int) -> BookletEntry:
    """Return a part's entry from its bundled report."""
    from mounts.papers.entry import BookletEntry

    assert one.bundle is not None
    held, picture = one.bundle.beside(CHAPTER), one.bundle.beside(PICTURE)
    assert held is not None
    own = tool_file(one.bundle.digests)
    file = f"{safe_name(one.job.name)}/{own}" if own else ""
    return BookletEntry(decode(json.loads(held), chapter_types()), one.bundle.report, picture, file, copies)


def chapter_types() -> tuple[type, ...]:
    """Return the types that a chapter is made of."""
    from mounts.design import drawing
    from mounts.design.listening import arrivals
    from mounts.geometry import outline
    from mounts.papers import entry, values

    rooms = (drawing, arrivals, outline, entry, values)
    return tuple(kind for room in rooms for kind in vars(room).values() if isinstance(kind, type))


def _beds(laid: LaidOut, files: Mapping[str, bytes]) -> Iterator[Block]:
    """Yield a table of the beds, and the picture of each."""
    from mounts.papers.values import TICK, Paragraph, PictureBlock, TableBlock

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
    yield Paragraph("Each bed is one file, bed-1.3mf and so on, that opens in a slicer as it is laid.")
    yield TableBlock(
        ("printed", "bed", "printer, material", "parts", "about"), rows, (1.2, 0.8, 2.6, 5.4, 2.0), strong=(1,)
    )
    shown = [(files[f"bed-{bed.number}.png"], f"bed {bed.number}") for bed in laid.beds]
    yield from (PictureBlock(tuple(shown[k : k + 2])) for k in range(0, len(shown), 2))
