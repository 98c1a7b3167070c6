"""A kit's parts on beds: one 3MF and one picture a bed, kept between runs like the parts themselves."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from mounts.batch.bundle import bundled, unpacked
from mounts.batch.key import hash_of, plain
from mounts.batch.run import Result, Shop, Store
from mounts.beds.packing import Bed, Piece, Placed, packed, rotation, too_large
from mounts.findings.kit import BedRow, LaidOut, summed
from mounts.findings.report import Estimate, PartReport
from mounts.load.kit import Kit
from mounts.load.models.workshop import Printer

LAYOUT = "layout.json"  # beside the files, where a layout is kept


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """What is laid out together: the same printer and the same material.

    Attributes:
        printer, material: of all of them; the material by its name.
        results: one a part, made or kept.
        copies: of each.
    """

    printer: Printer
    material: str
    results: tuple[Result, ...]
    copies: tuple[int, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Job and side of each part."""
        return tuple(" ".join(filter(None, (one.job.name, one.job.part))) for one in self.results)


def together(kit: Kit, results: Sequence[Result]) -> tuple[Pieces, ...]:
    """The printed parts of a kit by printer and material, in the order of the kit's file."""
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
    """All beds of a kit, and their files by name."""
    beds: list[BedRow] = []
    large: list[tuple[str, tuple[float, float, float]]] = []
    files: dict[str, bytes] = {}
    for pieces in together(kit, results):
        laid, held = laid_out(pieces, kit, len(beds) + 1, shop.store, shop.program)
        beds += laid.beds
        large += laid.too_large
        files |= held
    return LaidOut(tuple(beds), tuple(large)), files


def laid_out(pieces: Pieces, kit: Kit, first: int, store: Store, program: str) -> tuple[LaidOut, Mapping[str, bytes]]:
    """The beds for some pieces, and their files.

    Args:
        pieces: of one printer and material.
        kit: gives gap and brim, and its name to the files' titles.
        first: number of the first bed.
        store: where the files are kept between runs.
        program: mark of this program.
    """
    bed = Bed((pieces.printer.bed[0], pieces.printer.bed[1]), pieces.printer.bed[2], kit.gap, kit.brim)
    keys = [one.key for one in pieces.results]
    names = list(pieces.names)
    key = hash_of([program, "beds", kit.name, first, keys, names, list(pieces.copies), plain(bed), pieces.material])
    packed_before = store.recall(key)
    if packed_before is not None:
        files = unpacked(packed_before).files()
        return _told(json.loads(files.pop(LAYOUT))), files
    laid, files = _laid(pieces, kit, first, bed)
    held = {**files, LAYOUT: json.dumps(asdict(laid)).encode()}
    store.keep(key, bundled(kit.name, PartReport("", ()), held, None).packed)
    return laid, files


def _told(tree: Mapping[str, Any]) -> LaidOut:
    """A layout from its fields."""
    return LaidOut(
        tuple(_bed(row) for row in tree["beds"]), tuple((name, (x, y, z)) for name, (x, y, z) in tree["too_large"])
    )


def _bed(row: Mapping[str, Any]) -> BedRow:
    parts = tuple((name, count) for name, count in row["parts"])
    return BedRow(**{**row, "parts": parts, "files": tuple(row["files"]), "estimate": Estimate(**row["estimate"])})


def _laid(pieces: Pieces, kit: Kit, first: int, bed: Bed) -> tuple[LaidOut, dict[str, bytes]]:
    from mounts.write.bed import bed_png  # noqa: PLC0415
    from mounts.write.threemf import Item, threemf_bytes  # noqa: PLC0415

    solids = [_piece(one, name) for one, name in zip(pieces.results, pieces.names, strict=True)]
    needs = [too_large(piece, bed) for piece in solids]
    fit = [k for k, need in enumerate(needs) if need is None]
    chosen = [solids[k] for k in fit]
    beds = packed(chosen, [pieces.copies[k] for k in fit], bed) if chosen else ()
    files: dict[str, bytes] = {}
    rows = []
    for number, placed in enumerate(beds, first):
        stem, title = f"bed-{number}", f"{kit.name}, bed {number}: {pieces.printer.name}, {pieces.material}"
        kinds = list(dict.fromkeys(one.piece for one in placed))
        items = [Item(chosen[k], chosen[k].name, _places(placed, k)) for k in kinds]
        files[f"{stem}.3mf"] = threemf_bytes(title, items)
        files[f"{stem}.png"] = bed_png(title, bed, chosen, placed)
        held = tuple((chosen[k].name, sum(one.piece == k for one in placed)) for k in kinds)
        takes = summed((_estimate(pieces.results[fit[k]]), sum(one.piece == k for one in placed)) for k in kinds)
        rows.append(BedRow(number, pieces.printer.name, pieces.material, held, (f"{stem}.3mf", f"{stem}.png"), takes))
    large = tuple((pieces.names[k], need) for k, need in enumerate(needs) if need is not None)
    return LaidOut(tuple(rows), large), files


def _piece(result: Result, name: str) -> Piece:
    assert result.bundle is not None
    solid = result.bundle.solid()
    assert solid is not None
    return Piece(name, *solid)


def _estimate(result: Result) -> Estimate:
    assert result.bundle is not None
    assert result.bundle.report.estimate is not None
    return result.bundle.report.estimate


def _places(placed: Sequence[Placed], piece: int) -> tuple[tuple[tuple[float, ...], ...], ...]:
    """The rigid transforms of a piece's copies on a bed."""
    found = []
    for one in placed:
        if one.piece == piece:
            whole = np.eye(4)
            whole[:2, :2], whole[:2, 3] = rotation(one.turn), one.at
            found.append(tuple(tuple(float(cell) for cell in row) for row in whole))
    return tuple(found)
