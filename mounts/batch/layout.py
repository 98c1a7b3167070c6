"""A kit's parts on beds: one 3MF and one picture a bed, each kept between runs like the parts themselves."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from operator import le

import numpy as np

from mounts.batch.bundle import decode, encode, pack_bundle
from mounts.batch.run import Result, Shop, Store, hash_of, recall_bundle, to_plain
from mounts.beds.packing import least_bed, pack_beds
from mounts.beds.raster import Bed, BedPlacement, Piece, pieces_on, rotation
from mounts.findings.kit import BedRow, LaidOut, TooLarge, summed
from mounts.findings.report import Estimate, PartReport
from mounts.load.models.workshop import Printer
from mounts.load.resolve.kit import Kit

LAYOUT = "layout.json"  # under which a layout is kept


@dataclass(frozen=True, slots=True)
class BedLayout:
    """Layout of all pieces on the beds, pieces by their number.

    Attributes:
        beds: placements on each bed.
        large: pieces that no bed holds, each with the least bed that would, mm.
    """

    beds: tuple[tuple[BedPlacement, ...], ...]
    large: tuple[tuple[int, tuple[float, float, float]], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """Pieces that are laid out together: the same printer and the same material.

    Attributes:
        printer, material: printer of all pieces, and their material by its name.
        results: one a part, made or kept.
        copies: number of copies of each part.
    """

    printer: Printer
    material: str
    results: tuple[Result, ...]
    copies: tuple[int, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Job and side of each part."""
        return tuple(" ".join(filter(None, (one.job.name, one.job.part))) for one in self.results)


def group_pieces(kit: Kit, results: Sequence[Result]) -> tuple[Pieces, ...]:
    """Group the printed parts of a kit by printer and material, in the order of the kit's file."""
    done = {(one.job.name, one.job.part): one for one in results if one.bundle is not None and one.job.make == "print"}
    groups: dict[tuple[str, str], list[tuple[Result, int]]] = {}
    for part in kit.parts:
        if (one := done.get((part.job.name, part.job.part))) is not None:
            groups.setdefault((part.job.printer.name, part.job.material.name), []).append((one, part.pieces))
    return tuple(
        Pieces(held[0][0].job.printer, material, tuple(one for one, _ in held), tuple(count for _, count in held))
        for (_, material), held in groups.items()
    )


def beds_of(kit: Kit, results: Sequence[Result], shop: Shop) -> tuple[LaidOut, dict[str, bytes]]:
    """Return all beds of a kit, and their files by name."""
    beds: list[BedRow] = []
    large: list[TooLarge] = []
    files: dict[str, bytes] = {}
    for pieces in group_pieces(kit, results):
        laid, held = lay_out(pieces, kit, len(beds) + 1, shop.store, shop.program)
        beds += laid.beds
        large += laid.too_large
        files |= held
    return LaidOut(tuple(beds), tuple(large)), files


def lay_out(pieces: Pieces, kit: Kit, first: int, store: Store, program: str) -> tuple[LaidOut, dict[str, bytes]]:
    """Return the beds for some pieces, and their files.

    Args:
        pieces: pieces of one printer and material.
        kit: gives gap and brim, and its name to the files' titles.
        first: number of the first bed.
        store: where layout and each bed's files are kept between runs.
        program: mark of this program.
    """
    bed = Bed((pieces.printer.bed[0], pieces.printer.bed[1]), pieces.printer.bed[2], kit.gap, kit.brim)
    solids: list[Piece] = []  # read once, and only if something is to be laid out or drawn again

    def all_solids() -> list[Piece]:
        solids[:] = solids or map(_piece, pieces.results, pieces.names)
        return solids

    told = [program, to_plain(bed), [one.key for one in pieces.results], list(pieces.names), list(pieces.copies)]
    layout = _layout(store, hash_of(["layout", *told]), lambda: _pack(all_solids(), pieces.copies, bed))
    files: dict[str, bytes] = {}
    rows = []
    for number, placed in enumerate(layout.beds, first):
        title = f"{kit.name}, bed {number}: {pieces.printer.name}, {pieces.material}"
        lying = [(pieces.results[one.piece].key, pieces.names[one.piece], to_plain(one)) for one in placed]
        key = hash_of(["bed", program, to_plain(bed), title, lying])
        own = _kept_files(store, key, kit.name)
        if own is None:
            own = _draw_bed(title, f"bed-{number}", bed, all_solids(), placed)
            store.keep(key, pack_bundle(kit.name, PartReport("", ()), own, None).packed)
        files |= own
        rows.append(_row(pieces, number, placed, tuple(own)))
    large = tuple(TooLarge(pieces.names[k], need, _holder(kit, need)) for k, need in layout.large)
    return LaidOut(tuple(rows), large), files


def _holder(kit: Kit, need: tuple[float, float, float]) -> str:
    """Return the kit's first printer whose bed holds a piece of a size; "" where there is none."""
    x, y = sorted(need[:2])
    names = (one.name for one in kit.printers if all(map(le, (x, y, need[2]), (*sorted(one.bed[:2]), one.bed[2]))))
    return next(names, "")


def _layout(store: Store, key: str, make: Callable[[], BedLayout]) -> BedLayout:
    """Return the layout as it was kept, or made now."""
    kept = _kept_files(store, key, "") or {}
    if LAYOUT in kept:
        layout: BedLayout = decode(json.loads(kept[LAYOUT]), (BedLayout, BedPlacement))
        return layout
    layout = make()
    held = {LAYOUT: json.dumps(encode(layout)).encode()}
    store.keep(key, pack_bundle("", PartReport("", ()), held, None).packed)
    return layout


def _kept_files(store: Store, key: str, name: str) -> dict[str, bytes] | None:
    bundle = recall_bundle(store, key, name)
    return None if bundle is None else bundle.files()


def _pack(solids: Sequence[Piece], copies: Sequence[int], bed: Bed) -> BedLayout:
    needs = [least_bed(piece, bed) for piece in solids]
    fit = [k for k, need in enumerate(needs) if need is None]
    beds = pack_beds([solids[k] for k in fit], [copies[k] for k in fit], bed) if fit else ()
    return BedLayout(
        tuple(tuple(replace(one, piece=fit[one.piece]) for one in placed) for placed in beds),
        tuple((k, need) for k, need in enumerate(needs) if need is not None),
    )


def _draw_bed(
    title: str, stem: str, bed: Bed, solids: Sequence[Piece], placed: Sequence[BedPlacement]
) -> dict[str, bytes]:
    """Return the files of one bed: 3MF and picture."""
    from mounts.write.bed import bed_png
    from mounts.write.threemf import PlacedPart, threemf_bytes

    items = [PlacedPart(solids[k], solids[k].name, _places(placed, k)) for k in pieces_on(placed)]
    return {f"{stem}.3mf": threemf_bytes(title, items), f"{stem}.png": bed_png(title, bed, solids, placed)}


def _row(pieces: Pieces, number: int, placed: Sequence[BedPlacement], files: tuple[str, ...]) -> BedRow:
    counts = [(k, sum(one.piece == k for one in placed)) for k in pieces_on(placed)]
    held = tuple((pieces.names[k], count) for k, count in counts)
    takes = summed((_estimate(pieces.results[k]), count) for k, count in counts)
    return BedRow(number, pieces.printer.name, pieces.material, held, files, takes)


def _piece(result: Result, name: str) -> Piece:
    assert result.bundle is not None
    solid = result.bundle.solid()
    assert solid is not None
    return Piece(name, *solid)


def _estimate(result: Result) -> Estimate:
    assert result.bundle is not None
    assert result.bundle.report.estimate is not None
    return result.bundle.report.estimate


def _places(placed: Sequence[BedPlacement], piece: int) -> tuple[tuple[tuple[float, ...], ...], ...]:
    """Return the rigid transforms of a piece's copies on a bed."""
    found = []
    for one in placed:
        if one.piece == piece:
            whole = np.eye(4)
            whole[:2, :2], whole[:2, 3] = rotation(one.turn), one.at
            found.append(tuple(tuple(float(cell) for cell in row) for row in whole))
    return tuple(found)
