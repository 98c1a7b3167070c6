"""STEP file of a part: the exact solid in the panel frame, millimetres, every face named after its feature.

It uses raw bindings, since cadquery has no verb that names faces in a file of one product: `Shape.exportStep` writes no
names, and `cadquery.occ_impl.exporters.assembly.exportStepMeta` writes an assembly, and the part as a product in it.
"""

from __future__ import annotations

import tempfile
import unicodedata
from pathlib import Path
from typing import Any

import numpy as np

from mounts import __version__
from mounts.errors import KernelError
from mounts.kernels.cad import OCP, kernel_step
from mounts.kernels.part import Part


def step_bytes(part: Part) -> bytes:
    """Return the part as a STEP file, one product with one solid; the header holds the time, so no two files are alike.

    Raises:
        KernelError: if the part has no solid, or the kernel fails.
    """
    if part.solid is None:
        raise KernelError(f"part {part.name}: the {part.kernel} kernel has no solid for a STEP file")
    with kernel_step(part.name, "write STEP"), tempfile.TemporaryDirectory(prefix="mounts-") as folder:
        path = Path(folder) / "part.step"
        writer = OCP.STEPCAFControl.STEPCAFControl_Writer()
        writer.SetNameMode(True)
        OCP.Interface.Interface_Static.SetIVal_s("write.stepcaf.subshapes.name", 1)
        OCP.Interface.Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)  # without what follows from the rest
        OCP.Interface.Interface_Static.SetCVal_s("write.step.unit", "MM")
        writer.Transfer(_document(part), OCP.STEPControl.STEPControl_StepModelType.STEPControl_AsIs)
        _write_header(writer.ChangeWriter().Model(False), ascii_name(part.name))
        if writer.Write(str(path)) != OCP.IFSelect.IFSelect_RetDone:
            raise KernelError(f"part {part.name}: the kernel cannot write its STEP file")
        return path.read_bytes()


def _write_header(model: Any, name: str) -> None:
    """Name this program and the part in a file's header, instead of the kernel."""
    program = OCP.TCollection.TCollection_HAsciiString(f"mounts {__version__}")
    empty = OCP.TCollection.TCollection_HAsciiString("")
    header = OCP.APIHeaderSection.APIHeaderSection_MakeHeader(model)
    header.SetName(OCP.TCollection.TCollection_HAsciiString(name))
    header.SetDescriptionValue(1, OCP.TCollection.TCollection_HAsciiString(f"{name}, millimetres, panel frame"))
    header.SetAuthorValue(1, empty)
    header.SetOrganizationValue(1, empty)
    header.SetPreprocessorVersion(program)
    header.SetOriginatingSystem(program)
    header.SetAuthorisation(empty)


def _document(part: Part) -> Any:
    """Return the kernel's document with one product, the solid, whose faces are named."""
    assert part.solid is not None
    application = OCP.XCAFApp.XCAFApp_Application.GetApplication_s()
    OCP.BinXCAFDrivers.BinXCAFDrivers.DefineFormat_s(application)
    document = OCP.TDocStd.TDocStd_Document(_text("BinXCAF"))
    application.InitDocument(document)
    shapes = OCP.XCAFDoc.XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    shapes.SetAutoNaming_s(False)
    product = shapes.AddShape(part.solid.wrapped, False)
    OCP.TDataStd.TDataStd_Name.Set_s(product, _text(ascii_name(part.name)))
    faces = part.solid.Faces()
    for number, feature in _face_features(part).items():
        OCP.TDataStd.TDataStd_Name.Set_s(shapes.AddSubShape(product, faces[number].wrapped), _text(ascii_name(feature)))
    return document


def _text(text: str) -> Any:
    return OCP.TCollection.TCollection_ExtendedString(text)


def ascii_name(name: str) -> str:
    """Return name as readers of STEP take it unharmed: without accents, anything but plain letters as "-"."""
    plain = unicodedata.normalize("NFKD", name).replace("\u00f8", "o").replace("\u00d8", "O")
    bare = "".join(c for c in plain if not unicodedata.combining(c))
    return "".join(c if c.isascii() and c.isprintable() and c not in "'\"\\" else "-" for c in bare) or "part"


def _face_features(part: Part) -> dict[int, str]:
    """Return the name of the feature of every face, by the face's number."""
    faces, first = np.unique(part.face, return_index=True)
    return {int(face): part.features[feature].label for face, feature in zip(faces, part.feature[first], strict=True)}
