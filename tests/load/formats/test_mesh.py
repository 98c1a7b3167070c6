"""Mesh files of every kind and state: what they give, and what is said of what cannot be read."""

from __future__ import annotations

import struct
import zipfile
from pathlib import Path

import lib3mf
import numpy as np
import pytest
import trimesh

from mounts.errors import InputError
from mounts.geometry.outline import circle, rectangle
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.load.formats.mesh import mesh_part, read_mesh
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Feature, Recipe
from mounts.write.stl import stl_bytes
from mounts.write.threemf import PlacedPart, threemf_bytes
from tests.idents import ident


def _plate(segments: int = 256) -> Part:
    """A plate with a hole: genus 1; four sides, two faces and the hole's wall."""
    plate = Feature(ident("plate"), (Prism(rectangle(40.0, 30.0, 0.0), 0.0, 5.0),))
    hole = Feature(ident("hole"), (Prism(circle(10.0, (3.0, 2.0)), -1.0, 6.0),), cut=True)
    return mesh.build(Recipe("plate", (plate, hole), 1), segments)


def _box() -> trimesh.Trimesh:
    return trimesh.creation.box((20.0, 30.0, 40.0))


def _refused(path: Path) -> str:
    with pytest.raises(InputError) as refused:
        read_mesh(path)
    (problem,) = refused.value.problems
    assert problem.file == path
    return problem.what


def test_our_own_stl_comes_back(tmp_path: Path) -> None:
    plate = _plate()
    (tmp_path / "plate.stl").write_bytes(stl_bytes(plate))
    part = read_mesh(tmp_path / "plate.stl")
    assert (part.name, part.kernel, part.features) == ("plate", "file", (ident("part"),))
    assert (part.solids, part.shells, part.genus, part.solid) == (1, 1, 1, None)
    assert part.face.max() + 1 == 7
    assert (part.feature == 0).all()
    assert part.volume == pytest.approx(plate.volume, rel=1e-6)
    assert part.centroid == pytest.approx(plate.centroid, abs=1e-5)
    assert len(part.vertices) == len(plate.vertices)
    assert len(part.triangles) == len(plate.triangles)


def test_a_coarse_hole_is_one_face(tmp_path: Path) -> None:
    plate = _plate(segments=48)
    (tmp_path / "plate.stl").write_bytes(stl_bytes(plate))
    assert len(plate.vertices) == 8 + 2 * 12
    assert read_mesh(tmp_path / "plate.stl").face.max() + 1 == 7


@pytest.mark.parametrize("kind", ["stl", "stl_ascii", "obj"])
def test_files_of_others(tmp_path: Path, kind: str) -> None:
    """Written by trimesh."""
    path = tmp_path / f"box.{kind[:3]}"
    _box().export(path, file_type=kind)
    part = read_mesh(path)
    assert (part.solids, part.shells, part.genus, part.face.max() + 1) == (1, 1, 0, 6)
    assert part.volume == pytest.approx(20.0 * 30.0 * 40.0)
    assert np.ptp(part.vertices, axis=0) == pytest.approx([20.0, 30.0, 40.0])


def test_our_own_3mf_comes_back_in_its_places(tmp_path: Path) -> None:
    plate = _plate()
    apart = ((1.0, 0.0, 0.0, 50.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
    (tmp_path / "two.3mf").write_bytes(
        threemf_bytes("two", [PlacedPart(plate, "plate", (PlacedPart(plate, "").places[0], apart))])
    )
    part = read_mesh(tmp_path / "two.3mf")
    assert (part.solids, part.shells, part.genus) == (2, 2, 2)
    assert np.ptp(part.vertices, axis=0) == pytest.approx([90.0, 30.0, 5.0])


def test_a_3mf_in_inches_with_a_component_turned_and_mirrored(tmp_path: Path) -> None:
    """Written by lib3mf, the consortium's own library: a component moved by 1 inch and mirrored in x."""
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    model.SetUnit(lib3mf.ModelUnit.Inch)
    shape = model.AddMeshObject()
    box = trimesh.creation.box((1.0, 1.0, 1.0))
    positions = [lib3mf.Position(tuple(float(value) for value in vertex)) for vertex in box.vertices]
    faces = [lib3mf.Triangle(tuple(int(index) for index in face)) for face in box.faces]
    shape.SetGeometry(positions, faces)
    group = model.AddComponentsObject()
    mirrored = lib3mf.Transform(((-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)))
    group.AddComponent(shape, mirrored)
    model.AddBuildItem(group, wrapper.GetIdentityTransform())
    path = tmp_path / "inches.3mf"
    model.QueryWriter("3mf").WriteToFile(str(path))
    part = read_mesh(path)
    assert part.volume == pytest.approx(25.4**3, rel=1e-6)
    assert part.centroid == pytest.approx([25.4, 0.0, 0.0], abs=1e-4)


def test_an_stl_may_begin_with_solid_and_yet_be_binary(tmp_path: Path) -> None:
    _box().export(tmp_path / "box.stl")
    data = bytearray((tmp_path / "box.stl").read_bytes())
    data[:11] = b"solid thing"
    (tmp_path / "box.stl").write_bytes(data)
    assert read_mesh(tmp_path / "box.stl").volume == pytest.approx(24000.0)


def test_bytes_behind_the_facets_do_no_harm(tmp_path: Path) -> None:
    _box().export(tmp_path / "box.stl")
    (tmp_path / "box.stl").write_bytes((tmp_path / "box.stl").read_bytes() + b"made by a program")
    assert read_mesh(tmp_path / "box.stl").volume == pytest.approx(24000.0)


def test_an_open_mesh_becomes_a_part_all_the_same() -> None:
    box = _box()
    part = mesh_part("open", np.asarray(box.vertices, dtype=float), np.asarray(box.faces, dtype=np.int64)[1:])
    assert (len(part.triangles), part.shells, part.genus) == (11, 1, 0)


def test_a_hollow_is_a_shell_and_no_solid() -> None:
    box, hollow = _box(), trimesh.creation.box((5.0, 5.0, 5.0))
    both = np.concatenate([box.faces, hollow.faces[:, ::-1] + 8]).astype(np.int64)
    part = mesh_part("hollow", np.concatenate([box.vertices, hollow.vertices]), both)
    assert (part.solids, part.shells, part.genus) == (1, 2, 0)
    assert part.volume == pytest.approx(24000.0 - 125.0)


# what cannot be read


def test_what_is_no_file(tmp_path: Path) -> None:
    assert _refused(tmp_path / "missing.stl") == "there is no file missing.stl"
    assert _refused(tmp_path) == f"{tmp_path.name} is a folder; give a mesh file in it"


FACET = struct.pack("<12fH", 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0)
BROKEN = {
    "empty.stl": (b"", "is empty"),
    "prose.stl": (b"not a mesh at all, just words\n" * 20, "is neither a binary nor an ASCII STL"),
    "noise.stl": (bytes(range(256)) * 3, "is neither a binary nor an ASCII STL"),
    "short.stl": (bytes(80) + struct.pack("<I", 9) + FACET * 4, "is cut short: it says 9 facets and holds 4"),
    "none.stl": (bytes(80) + struct.pack("<I", 0), "holds no facets"),
    "none-ascii.stl": (b"solid nothing\nendsolid nothing\n", "holds no facets"),
    "number.stl": (
        b"solid a\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 x\nendloop\nendsolid\n",
        "has x where a number should be",
    ),
    "two.stl": (
        b"solid a\nouter loop\nvertex 0 0 0\nvertex 1 0\nvertex 0 1 0\nendloop\nendsolid\n",
        "has a vertex of 2 numbers in facet 1; one has three",
    ),
    "cut.stl": (
        b"solid a\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nouter loop\nvertex 0 0 0\n",
        "is cut short after facet 1: there is no endsolid",
    ),
    "words.obj": (b"no obj", "holds no facets"),
    "corner.obj": (b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n", "has a face whose corner is not there"),
    "zip.3mf": (b"PK\x03\x04 and no more", "is no zip file that can be read, as a 3MF is"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_broken_files_say_what_is_broken(tmp_path: Path, name: str) -> None:
    data, what = BROKEN[name]
    (tmp_path / name).write_bytes(data)
    assert _refused(tmp_path / name) == f"{name} {what}; give a mesh as STL, 3MF or OBJ"


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_corners_that_are_no_numbers(tmp_path: Path, value: float) -> None:
    facets = [list(struct.unpack("<12fH", FACET)) for _ in range(5)]
    facets[2][7] = facets[4][3] = value
    data = bytes(80) + struct.pack("<I", 5) + b"".join(struct.pack("<12fH", *facet) for facet in facets)
    (tmp_path / "nan.stl").write_bytes(data)
    what = "nan.stl has 2 facets with corners that are no numbers, the first is facet 3"
    assert _refused(tmp_path / "nan.stl") == f"{what}; give a mesh as STL, 3MF or OBJ"


HEAD = '<model unit="{unit}" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">'
MESH = (
    '<mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="1" y="0" z="0"/><vertex x="0" y="1" z="{z}"/></vertices>'
    '<triangles><triangle v1="0" v2="1" v3="{v}"/></triangles></mesh>'
)
LOOP = '<object id="2"><components><component objectid="2"/></components></object>'


def _model(
    *, unit: str = "millimeter", z: str = "0", v: str = "2", more: str = "", item: str = "1", place: str = ""
) -> str:
    mesh_of = MESH.format(z=z, v=v)
    told = f' transform="{place}"' if place else ""
    resources = f'<resources><object id="1">{mesh_of}</object>{more}</resources>'
    return f'{HEAD.format(unit=unit)}{resources}<build><item objectid="{item}"{told}/></build></model>'


MODELS = {
    "unit": (_model(unit="furlong"), "is in the unit furlong, which 3MF does not know"),
    "number": (_model(z="high"), "has high where a number should be"),
    "corner": (_model(v="7"), "has a triangle whose corner is not there"),
    "negative": (_model(v="-1"), "has a triangle whose corner is not there"),
    "nothing": (_model(z=""), "has nothing where a number should be"),
    "missing": (_model(item="5"), "places an object 5 that is not there"),
    "loop": (_model(more=LOOP, item="2"), "holds an object that holds itself"),
    "transform": (_model(place="1 2 3"), "has a transform that is not twelve numbers: 1 2 3"),
    "entity": ('<!DOCTYPE a [<!ENTITY b "c">]>' + _model(), "declares entities of its own, which a 3MF must not"),
}


@pytest.mark.parametrize("name", MODELS)
def test_broken_3mf_say_what_is_broken(tmp_path: Path, name: str) -> None:
    text, what = MODELS[name]
    path = tmp_path / "part.3mf"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("3D/3dmodel.model", text)
    assert _refused(path) == f"part.3mf {what}; give a mesh as STL, 3MF or OBJ"


def test_a_zip_file_that_is_no_3mf(tmp_path: Path) -> None:
    path = tmp_path / "part.3mf"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("readme.txt", "nothing")
    assert _refused(path) == "part.3mf is a zip file without a 3D model; give a mesh as STL, 3MF or OBJ"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("3D/3dmodel.model", "<model><unclosed></model>")
    assert _refused(path).startswith("part.3mf holds XML that cannot be read: mismatched tag")


def test_a_corner_too_far_away(tmp_path: Path) -> None:
    far = FACET.replace(struct.pack("<f", 1), struct.pack("<f", 3e6))
    (tmp_path / "far.stl").write_bytes(bytes(80) + struct.pack("<I", 1) + far)
    what = "far.stl has a corner 3e+06 mm from its origin; the most is 1,000,000"
    assert _refused(tmp_path / "far.stl") == f"{what}; give a mesh as STL, 3MF or OBJ"


def _tree(levels: int, mesh_of: str) -> str:
    """Objects of which each holds the one before twice: 2 to the power of `levels` of the first."""
    pairs = [f'<component objectid="{k}"/>' * 2 for k in range(levels)]
    twice = "".join(f'<object id="{k}"><components>{pair}</components></object>' for k, pair in enumerate(pairs, 1))
    head = HEAD.format(unit="millimeter")
    resources = f'<resources><object id="0">{mesh_of}</object>{twice}</resources>'
    return f'{head}{resources}<build><item objectid="{levels}"/></build></model>'


def _noise() -> str:
    """Two megabytes that do not compress well."""
    return np.random.default_rng(1).bytes(1_000_000).hex()


THIRTY = MESH.format(z="0", v="2").replace("</triangles>", '<triangle v1="0" v2="1" v3="2"/>' * 29 + "</triangles>")
FLAT = "<x/>" * 3_000_000
BOUNDS = {
    "triangles": (_tree(17, THIRTY), "holds 3,932,160 triangles; the most is 2,000,000"),
    "places": (_tree(17, MESH.format(z="0", v="2")), "holds meshes placed 131,072 times; the most is 100,000"),
    "deep": (_tree(21, "<mesh/>"), "holds an object that holds itself"),
    "ratio": (_model(more=FLAT), "unzips to more than 200 times its size, as no mesh does"),
    "index": (_model(v="9" * 20), f"has {'9' * 20} where a number should be"),
    "nested": (_model(more="<x>" * 200), "holds more tags within each other than a mesh needs; the most is 100"),
    "tag": (_model(more=f'<x y="{_noise()}"/>'), "holds a tag of more bytes than one may have; the most is 1,000,000"),
}


@pytest.mark.parametrize("name", BOUNDS)
def test_what_asks_for_too_much_is_told_the_bound(tmp_path: Path, name: str) -> None:
    text, what = BOUNDS[name]
    path = tmp_path / "part.3mf"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("3D/3dmodel.model", text)
    assert path.stat().st_size < 3_000_000
    assert _refused(path) == f"part.3mf {what}; give a mesh as STL, 3MF or OBJ"


def test_a_binary_stl_of_too_many_facets_is_told_the_bound(tmp_path: Path) -> None:
    path = tmp_path / "many.stl"
    with path.open("wb") as file:  # nothing but its head is on the disk
        file.write(bytes(80) + struct.pack("<I", 2_000_001))
        file.truncate(84 + 50 * 2_000_001)
    what = "many.stl holds 2,000,001 facets; the most is 2,000,000"
    assert _refused(path) == f"{what}; give a mesh as STL, 3MF or OBJ"


def test_faces_of_an_obj_are_fans_and_may_count_from_the_end(tmp_path: Path) -> None:
    """A pyramid on 4 by 3, 5 high: its volume by formula."""
    corners = "v 0 0 0\nv 4 0 0\nv 4 3 0\nv 0 3 0\nv 2 1 5\n"
    faces = "f 4//1 3//1 2//1 1//1\nf 1 2 5\nf -4 -3 -1\nf 3 4/7 5\nf 4 1 5 # end\n"
    (tmp_path / "p.obj").write_text(corners + faces, "ascii")
    part = read_mesh(tmp_path / "p.obj")
    assert part.volume == pytest.approx(4 * 3 * 5 / 3)
    assert (part.solids, part.shells, len(part.triangles)) == (1, 1, 6)
