"""Hostile mesh files and drawings, each made from a seed: small ones that ask for much, and honest ones, spoilt."""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Callable
from math import cos, pi, sin
from random import Random

Made = tuple[str, bytes]  # ending, and contents
NAMESPACE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
CORNERS = ((0, 0, 0), (10, 0, 0), (0, 10, 0), (0, 0, 10))
FACES = ((0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3))
STRANGE = ("1e999", "nan", "-inf", "0x10", "١٢", "1_0", "", "9" * 30, "-1", "1" * 5000, "1e-400", "\x00")
COUNTS = (0, 1, 3, 5, 255, 2_000_001, 2**31 - 1, 2**32 - 1)


def made(seed: int) -> Made:
    """Return the file of a seed; twelve seeds that follow each other give every kind."""
    chance = Random(seed)
    return KINDS[seed % len(KINDS)](chance)


def spoilt(content: bytes, chance: Random) -> bytes:
    """Return contents with some bytes changed, cut, or doubled."""
    held = bytearray(content)
    for _ in range(chance.randint(1, 8)):
        at = chance.randrange(len(held))
        match chance.randrange(4):
            case 0:
                held[at] ^= 1 << chance.randrange(8)
            case 1:
                del held[at : at + chance.randint(1, 40)]
            case 2:
                held[at:at] = held[at : at + chance.randint(1, 400)]
            case 3:
                held[at : at + 4] = chance.choice((b"\xff" * 4, b"\x00" * 4, b"\x7f\xff\xff\xff"))
        held = held or bytearray(b"\x00")
    return bytes(held)


def binary_stl(chance: Random) -> Made:
    """A binary STL whose count is not that of its facets, or whose corners are no numbers."""
    facet = struct.pack("<12fH", *[chance.choice((0.0, 1.0, -3e38, float("nan"), 1e-40)) for _ in range(12)], 0)
    many = chance.choice((0, 1, 4, 2000))
    head = chance.choice((bytes(80), b"solid x".ljust(80)))
    return ".stl", head + struct.pack("<I", chance.choice((*COUNTS, many))) + facet * many


def ascii_stl(chance: Random) -> Made:
    """An ASCII STL with strange numbers, or one line of many megabytes."""
    word = chance.choice((*STRANGE, "1"))
    vertex = (
        f"vertex {word} 0 1\n" if chance.random() < 0.7 else "vertex " + "1 " * chance.choice((2, 2_000_000)) + "\n"
    )
    many = chance.choice((3, 30_000))
    text = "solid x\nouter loop\n" + vertex * (many if len(vertex) < 100 else 3) + "endloop\nendsolid\n"
    return ".stl", text.encode()


def obj(chance: Random) -> Made:
    """An OBJ whose faces have strange corners, or very many of them."""
    words = [chance.choice((*STRANGE, "1", "2", "3/1/1", "-1//2", "4")) for _ in range(chance.choice((3, 5)))]
    face = " ".join(words) if chance.random() < 0.6 else "1 2 3 " * chance.choice((1, 150_000))
    text = "".join(f"v {x} {y} {z}\n" for x, y, z in CORNERS) + f"f {face}\n" * chance.choice((1, 20))
    return ".obj", text.encode("utf-8", "replace")


def model(resources: str, build: str, unit: str = "millimeter") -> str:
    """Return the XML of a 3MF's model."""
    head = f'<model unit="{unit}" xmlns="{NAMESPACE}">'
    return f"{head}<resources>{resources}</resources><build>{build}</build></model>"


def shape(chance: Random, word: str = "") -> str:
    """Return the mesh of a tetrahedron; with a word, that stands for one of its numbers."""
    places = [[str(value) for value in corner] for corner in CORNERS]
    faces = [[str(value) for value in face] for face in FACES]
    if word:
        rows = chance.choice((places, faces))
        rows[chance.randrange(4)][chance.randrange(3)] = word
    vertices = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in places)
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in faces)
    return f"<mesh><vertices>{vertices}</vertices><triangles>{triangles}</triangles></mesh>"


def zipped(text: bytes | str, name: str = "3D/3dmodel.model") -> bytes:
    """Return a zip file that holds a model."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, text)
    return stream.getvalue()


def threemf_numbers(chance: Random) -> Made:
    """A 3MF with a strange number among its corners or in a transform."""
    word = chance.choice(STRANGE).replace("\x00", "&#x10;")
    place = " ".join(chance.choice((word, "1", "0", "1e300")) for _ in range(chance.choice((12, 12, 11, 4000))))
    resources = f'<object id="1">{shape(chance, word if chance.random() < 0.6 else "")}</object>'
    return ".3mf", zipped(model(resources, f'<item objectid="1" transform="{place}"/>'))


def threemf_bomb(chance: Random) -> Made:
    """A 3MF of some kB that unzips to many MB: of nothing, of tags, or of one tag."""
    filling = chance.choice((" ", "<!-- x -->", "<x/>", "<vertex x='0' y='0' z='0'/>", "<x>"))
    text = filling * (chance.choice((3, 60)) * 1_000_000 // len(filling))
    if chance.random() < 0.3:
        text = f'<x y="{"z" * 20_000_000}"/>'
    return ".3mf", zipped(model(f'<object id="1">{text}{shape(chance)}</object>', '<item objectid="1"/>'))


def threemf_tree(chance: Random) -> Made:
    """A 3MF whose components hold two or more of the next, many levels deep, perhaps back to the first."""
    deep, wide = chance.choice(((19, 2), (19, 8), (30, 2), (400, 1), (5, 30), (2, 3000)))
    inner = [f'<object id="0">{shape(chance) if chance.random() < 0.7 else "<mesh/>"}</object>']
    for level in range(1, deep + 1):
        parts = f'<component objectid="{level - 1}"/>' * wide
        inner.append(f'<object id="{level}"><components>{parts}</components></object>')
    if chance.random() < 0.2:
        inner[0] = f'<object id="0"><components><component objectid="{deep}"/></components></object>'
    items = f'<item objectid="{deep}"/>' * chance.choice((1, 2000))
    return ".3mf", zipped(model("".join(inner), items))


def threemf_text(chance: Random) -> Made:
    """A 3MF whose XML declares things, is deep, is of another encoding, or is none."""
    good = model(f'<object id="1">{shape(chance)}</object>', '<item objectid="1"/>')
    entity = '<!DOCTYPE m [<!ENTITY a "' + "b" * 1000 + '">' + "".join(
        f'<!ENTITY a{k} "{f"&a{k - 1};" * 10}">' for k in range(1, 9)
    ) + "]>"  # fmt: skip
    texts = (
        (entity + good).encode(), good.encode("utf-16"), good.encode()[: chance.randrange(400)], b"<a>" * 100_000,
        b"\xff\xfe" + good.encode(), good.replace("millimeter", "furlong").encode(), b"", b"\x00" * 1000,
    )  # fmt: skip
    return ".3mf", zipped(chance.choice(texts))


def threemf_zip(chance: Random) -> Made:
    """A 3MF whose zip file lists very many files, or says wrong sizes, or is spoilt."""
    good = zipped(model(f'<object id="1">{shape(chance)}</object>', '<item objectid="1"/>'))
    if chance.random() < 0.7:
        return ".3mf", spoilt(good, chance)
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        for number in range(chance.choice((1000, 60_000))):
            archive.writestr(f"{number}", b"")
    return ".3mf", stream.getvalue()


def dxf(entities: str) -> bytes:
    """Return a drawing in mm that holds some entities."""
    head = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n"
    return f"{head}0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n".encode()


def line(*numbers: float | str) -> str:
    """Return a LINE from x, y to x, y."""
    return "0\nLINE\n8\n0\n" + "".join(f"{code}\n{n}\n" for code, n in zip((10, 20, 11, 21), numbers, strict=True))


def dxf_lines(chance: Random) -> Made:
    """A drawing of many lines: a curve in any order, a star, a thicket, or all in one place."""
    count = chance.choice((3, 200, 3000, 8000))
    turns = [2 * pi * k / count for k in range(count)]
    ring = [(70 * cos(t), 55 * sin(t)) for t in turns]
    match chance.randrange(4):
        case 0:
            rows = [(*ring[k - 1], *ring[k]) for k in range(count)]
        case 1:
            rows = [(0.0, 0.0, *end) for end in ring]
        case 2:
            rows = [tuple(chance.uniform(-50, 50) for _ in range(4)) for _ in range(count)]
        case _:
            rows = [tuple(chance.uniform(-0.03, 0.03) for _ in range(4)) for _ in range(count)]
    chance.shuffle(rows)
    return ".dxf", dxf("".join(line(*row) for row in rows))


def dxf_sizes(chance: Random) -> Made:
    """A drawing of a size beyond all measure, or with strange numbers."""
    size = chance.choice(("1e12", "1e300", "nan", "-5", "0", "1e-300", *STRANGE[:6]))
    circle = f"0\nCIRCLE\n8\n0\n10\n0\n20\n{chance.choice(('0', size))}\n40\n{size}\n"
    ratio = chance.choice(("0.5", "1e-9", size))
    ellipse = f"0\nELLIPSE\n8\n0\n10\n0\n20\n0\n11\n{size}\n21\n0\n40\n{ratio}\n41\n0\n42\n6.28\n"
    return ".dxf", dxf(chance.choice((circle, ellipse, line(0, 0, size, 1) * 3)))


def dxf_spoilt(chance: Random) -> Made:
    """A good drawing of a slot with bytes changed."""
    ring = [(50 * cos(k / 20 * 2 * pi), 40 * sin(k / 20 * 2 * pi)) for k in range(20)]
    return ".dxf", spoilt(dxf("".join(line(*ring[k - 1], *ring[k]) for k in range(20))), chance)


KINDS: tuple[Callable[[Random], Made], ...] = (
    binary_stl, threemf_numbers, ascii_stl, threemf_bomb, obj, threemf_tree, dxf_lines, threemf_text, dxf_sizes,
    threemf_zip, dxf_spoilt, threemf_numbers,
)  # fmt: skip
