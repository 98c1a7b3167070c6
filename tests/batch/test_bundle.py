"""A finished part as bytes: it comes back as it was, and what is no bundle is told from one."""

from __future__ import annotations

import hashlib
import io
import zipfile

import numpy as np
import pytest

from mounts.batch.bundle import pack_bundle, unpack_bundle
from mounts.findings.report import Finding, PartReport, Verdict
from tests.idents import pair

REPORT = PartReport(
    "left",
    (
        Finding("clear.glass", Verdict.WARN, "magnet to glass", 9.5, 9.4999, 10.0, at=(1.0, -2.0, 3.0), margin_sd=1.0),
        Finding("bed", Verdict.PASS, "on the bed", between=pair("part", "bed"), source="the printer's file"),
    ),
    ("panel.behind.glass",),
    files=("left.stl", "left.png"),
    cautions=("Glass.",),
)
FILES = {"left.stl": b"\x00solid" * 1000, "left.png": bytes(range(256))}
SOLID = (np.array([[0.0, 0.1, 1 / 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]), np.array([[0, 1, 2]]))


def test_a_bundle_comes_back_as_it_was():
    bundle = unpack_bundle(pack_bundle("door", REPORT, FILES, SOLID).packed)
    assert (bundle.job, bundle.report, bundle.files()) == ("door", REPORT, FILES)
    assert bundle.digests == {name: hashlib.sha256(content).hexdigest() for name, content in FILES.items()}
    vertices, triangles = bundle.solid()
    np.testing.assert_array_equal(vertices, SOLID[0])  # to the last bit
    np.testing.assert_array_equal(triangles, SOLID[1])


def test_the_same_part_gives_the_same_bytes():
    assert pack_bundle("door", REPORT, FILES, SOLID).packed == pack_bundle("door", REPORT, FILES, SOLID).packed


def test_a_part_that_is_not_printed_has_no_solid():
    assert unpack_bundle(pack_bundle("plate", REPORT, FILES, None).packed).solid() is None


@pytest.mark.parametrize(
    "wrong", [b"", b"PK", b"\x80\x04K\x01.", pack_bundle("door", REPORT, FILES, SOLID).packed[:-40]]
)
def test_what_is_no_bundle_is_told(wrong):
    with pytest.raises(ValueError, match="no bundle"):
        unpack_bundle(wrong)


@pytest.mark.parametrize("name", ["manifest.json", "files/left.png"])
def test_a_bundle_that_lacks_a_member_is_none(name):
    whole = zipfile.ZipFile(io.BytesIO(pack_bundle("door", REPORT, FILES, SOLID).packed))
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        for entry in whole.namelist():
            if entry != name:
                archive.writestr(entry, whole.read(entry))
    with pytest.raises(ValueError, match="no bundle"):
        unpack_bundle(stream.getvalue())
