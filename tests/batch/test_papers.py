"""A kit's booklet: every part's own sheets, every copy's hardware, the beds; read back by PDFium."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from mounts import pipeline
from mounts.batch.bundle import decode, encode, unpack_bundle
from mounts.batch.crew import CHAPTER, make_part
from mounts.batch.kit import chapter_types, papers_of
from mounts.batch.layout import beds_of
from mounts.batch.run import Result, Shop, key_of
from mounts.load.resolve.kit import KitPart, load_kit
from mounts.papers.chapter import make_chapter
from mounts.papers.hardware import hardware
from mounts.write.output import Wish

ROOT = Path(__file__).parents[2]
WISH = Wish(("png", "pdf"))
COPIES = 3


@pytest.fixture(scope="module")
def kit():
    """Two of the demo kit's parts, three times each."""
    whole = load_kit(ROOT / "profiles" / "kits" / "linnet-minibus.yaml")
    chosen = [part for part in whole.parts if part.job.name in ("linnet-port-round", "linnet-sail-tweeter-flange")]
    return replace(whole, parts=tuple(KitPart(part.job, COPIES) for part in (chosen[0], chosen[-1])))


@pytest.fixture(scope="module")
def results(kit):
    return [Result(part.job, key_of(part.job, WISH, "p"), "made", make_part(part.job, WISH)) for part in kit.parts]


@pytest.fixture
def shop(memory):
    return Shop(None, memory, "p", 60.0)


def pages(data):
    document = pypdfium2.PdfDocument(data)
    texts = [page.get_textpage().get_text_range().replace("\ufffe", "-") for page in document]  # at a line's end
    return [" ".join(text.split()) for text in texts]


def test_the_booklet_has_every_parts_sheets_the_beds_and_the_hardware_of_all_copies(kit, results, shop, memory):
    beds = beds_of(kit, results, shop)
    (data,) = papers_of(kit, results, beds, WISH, shop).values()
    told = pages(data)
    assert any("bed-1.3mf" in page for page in told)
    for part in kit.parts:
        name = part.job.name
        assert any(f"{name}×{COPIES}" in page.replace(" ", "") for page in told)
        assert any("Check the print" in page and name[:16] in page for page in told)
    (screws,) = [item for item in hardware(pipeline.make(kit.parts[0].job)) if "tweeter to cup" in item.use]
    list_page = next(page for page in told if "Hardware and tools" in page)
    assert f"{screws.count * COPIES:g}" in list_page
    again = papers_of(kit, results, beds, WISH, shop)
    assert list(again.values()) == [data]
    assert sum(unpack_bundle(kept).digests.keys() == {"papers.pdf"} for kept in memory.held.values()) == 1


def test_a_parts_chapter_comes_back_as_it_was_told(kit, results):
    whole = pipeline.make(kit.parts[0].job)
    told = make_chapter(whole)
    assert told.sheets
    assert told.hardware
    assert decode(json.loads(json.dumps(encode(told))), chapter_types()) == told
    assert decode(json.loads(results[0].bundle.beside(CHAPTER)), chapter_types()) == told


@pytest.mark.parametrize("wrong", [{"": "object"}, {"a": 1}, {"": "mounts.papers.values.Paragraph", "size": 3}])
def test_only_known_types_come_back(wrong):
    with pytest.raises((KeyError, TypeError)):
        decode(wrong, chapter_types())
    with pytest.raises(TypeError, match="cannot be encoded"):
        encode(object())


def test_no_booklet_where_none_is_wanted(kit, results, shop):
    assert papers_of(kit, results, beds_of(kit, results, shop), Wish(("stl",)), shop) == {}
