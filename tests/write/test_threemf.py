"""3MF, read strictly by lib3mf, the reference implementation of the 3MF Consortium."""

from __future__ import annotations

import io
import subprocess
import sys
import zipfile
from math import cos, radians, sin

import lib3mf
import numpy as np
import pytest

from mounts.kernels.part import Part
from mounts.write.threemf import HERE, PlacedPart, threemf_bytes
from tests.idents import ident

NAME = 'linnet <left> & "right" 山🚐 \x1b[1m\x00'
SHOWN = 'linnet <left> & "right" 山🚐 [1m'
TURN = radians(30)
THERE = (
    (cos(TURN), -sin(TURN), 0.0, 200.0),
    (sin(TURN), cos(TURN), 0.0, 5.0),
    (0.0, 0.0, 1.0, 7.25),
    (0.0, 0.0, 0.0, 1.0),
)


@pytest.fixture(scope="module")
def model(tube: Part, box: Part) -> lib3mf.Model:
    data = threemf_bytes(NAME, [PlacedPart(tube, NAME, (HERE, THERE)), PlacedPart(box, "")])
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(data)
    assert reader.GetWarningCount() == 0
    return model


def gathered(iterator: object, current: str) -> list[object]:
    found = []
    while iterator.MoveNext():  # type: ignore[attr-defined]
        found.append(getattr(iterator, current)())
    return found


def test_unit_and_title(model: lib3mf.Model) -> None:
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    group = model.GetMetaDataGroup()
    data = {group.GetMetaData(k).GetName(): group.GetMetaData(k).GetValue() for k in range(group.GetMetaDataCount())}
    assert data == {"Title": SHOWN, "Application": "mounts"}


def test_objects_are_closed_solids_with_names(model: lib3mf.Model, tube: Part) -> None:
    objects = gathered(model.GetMeshObjects(), "GetCurrentMeshObject")
    assert [(o.GetName(), o.GetPartNumber()) for o in objects] == [(SHOWN, SHOWN), ("part 2", "part 2")]
    assert all(o.IsManifoldAndOriented() and o.GetType() == lib3mf.ObjectType.Model for o in objects)
    assert [o.GetVertexCount() for o in objects] == [len(tube.vertices), 8]
    assert [o.GetTriangleCount() for o in objects] == [len(tube.triangles), 12]


def test_one_object_stands_in_two_places(model: lib3mf.Model) -> None:
    items = gathered(model.GetBuildItems(), "GetCurrent")
    assert [item.GetObjectResource().GetName() for item in items] == [SHOWN, SHOWN, "part 2"]
    fields = np.array([[list(row) for row in item.GetObjectTransform().Fields] for item in items])
    wanted = np.array([HERE, THERE, HERE])[:, :3].transpose(0, 2, 1)
    np.testing.assert_allclose(fields, wanted, atol=1e-6)


def test_the_solid_is_the_parts(model: lib3mf.Model, tube: Part) -> None:
    mesh = gathered(model.GetMeshObjects(), "GetCurrentMeshObject")[0]
    vertices = np.array([list(v.Coordinates) for v in mesh.GetVertices()])
    corners = vertices[np.array([list(t.Indices) for t in mesh.GetTriangleIndices()])]
    volume = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])).sum() / 6
    assert volume == pytest.approx(tube.volume, rel=1e-6)


def test_doubled_places_are_merged_and_empty_triangles_go(box: Part) -> None:
    loose = box.vertices[box.triangles].reshape(-1, 3)
    triangles = np.arange(36).reshape(-1, 3)
    sliver = np.array([[0, 0, 1]])
    part = Part("loose", "mesh", loose, np.concatenate([triangles, sliver]), np.zeros(13, np.int64),
                np.zeros(13, np.int64), (ident("body"),), 24000.0, box.centroid, 1, 1, 0)  # fmt: skip
    text = zipfile.ZipFile(io.BytesIO(threemf_bytes("x", [PlacedPart(part, "x")]))).read("3D/3dmodel.model").decode()
    assert text.count("<vertex ") == 8
    assert text.count("<triangle ") == 12


def test_bytes_repeat_in_another_process() -> None:
    script = (
        "import numpy as np, hashlib\n"
        "from mounts.kernels.part import Part\n"
        "from mounts.write.threemf import PlacedPart, threemf_bytes\n"
        "v = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1.5]])\n"
        "t = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])\n"
        "p = Part('t', 'mesh', v, t, np.arange(4), np.zeros(4, int), ('t',), 0.25, v.mean(0), 1, 1, 0)\n"
        "print(hashlib.sha256(threemf_bytes('a', [PlacedPart(p, 'b')])).hexdigest())\n"
    )
    runs = {
        subprocess.run(
            [sys.executable, "-c", script], env={"PYTHONHASHSEED": seed}, check=True, capture_output=True
        ).stdout
        for seed in ("1", "2")
    }
    assert len(runs) == 1


def test_what_cannot_be_written_is_refused(box: Part) -> None:
    mirror = ((-1.0, 0.0, 0.0, 0.0), *HERE[1:])
    with pytest.raises(ValueError, match="at least one part"):
        threemf_bytes("x", [PlacedPart(box, "x", ())])
    with pytest.raises(ValueError, match="neither stretch nor mirror"):
        threemf_bytes("x", [PlacedPart(box, "x", (mirror,))])
