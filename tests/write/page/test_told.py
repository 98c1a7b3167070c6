"""What a page holds: meshes to a thousandth, exact faces, findings as the report tells them, and no markup."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest

from mounts.findings.report import Finding, Verdict
from mounts.identity import Ident, Role
from mounts.made import Made
from mounts.write.page import html as page
from mounts.write.page.page_data import page_data
from mounts.write.text_shaping import plain_text
from tests.idents import ident, pair

NASTY = [
    "</script><script>alert(1)</script>",
    "<!--<script>",
    "<img src=x onerror=alert(1)>&lt;b&gt;",
    "@data@ @title@ @policy@",
    '"}];alert(1)//\\u003c',
    "..",
    ".hidden",
    "山 🚐 عربى ไทย",
    "a\u202eb\u2028c\x00d\ud800e",
    "x" * 200,
]


class Read(HTMLParser):
    """The tags of a page, and the text inside its scripts, style and title."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text: dict[int, str] = {}
        self.open = False

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        self.open = True

    def handle_endtag(self, tag):
        self.open = False

    def handle_data(self, data):
        if self.open:
            self.text[len(self.tags) - 1] = self.text.get(len(self.tags) - 1, "") + data


def read(html: bytes) -> Read:
    found = Read()
    found.feed(html.decode())
    return found


def inside(found: Read, tag: str) -> list[str]:
    return [found.text.get(k, "") for k, (name, _) in enumerate(found.tags) if name == tag]


def unpacked(mesh: dict[str, str]) -> tuple[np.ndarray, np.ndarray]:
    places = np.frombuffer(base64.b64decode(mesh["vertices"]), "<f4").reshape(-1, 3)
    form = {"2": "<u2", "4": "<u4"}[mesh["wide"]]
    return places, np.frombuffer(base64.b64decode(mesh["triangles"]), form).reshape(-1, 3)


def test_the_mesh_is_the_parts_own_to_a_thousandth(ring):
    told = json.loads(page_data(ring))["part"]
    places, triangles = unpacked(told)
    assert np.abs(places[triangles] - ring.part.vertices[ring.part.triangles]).max() < 1e-3
    face = np.frombuffer(base64.b64decode(told["face"]), "<u4")
    assert (face == ring.part.face).all()


@pytest.mark.parametrize("which", ["ring", "cup", "spacer"])
def test_every_face_is_what_its_triangles_show(which, request):
    made = request.getfixturevalue(which)
    part, told = made.part, json.loads(page_data(made))["part"]
    corners = part.vertices[part.triangles]
    out = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    kinds = set()
    for number, face in enumerate(told["faces"]):
        own = part.face == number
        assert {part.features[k].label for k in part.feature[own]} == {told["features"][face["feature"]]}
        kinds.add(face["is"])
        if face["is"] == "curved":
            continue
        away, along = corners[own].reshape(-1, 3) - face["at"], np.array(face["along"])
        if face["is"] == "flat":
            assert np.abs(away @ along).max() < 1e-5
            assert (out[own] @ along > 0).all()
        else:
            radial = away - np.outer(away @ along, along)
            assert np.linalg.norm(radial, axis=1) == pytest.approx(face["across"] / 2, abs=1e-5)
            middle = radial.reshape(-1, 3, 3).mean(axis=1)
            inward = np.einsum("ij,ij->i", out[own], middle) < 0
            assert (inward == face["hole"]).all()
    assert {"flat", "round"} <= kinds


def test_findings_are_told_as_the_report_tells_them(failing):
    told = json.loads(page_data(failing))
    report = failing.report
    assert [one["what"] for one in told["findings"]] == [plain_text(finding.what) for finding in report.findings]
    marks = {one["mark"]: one for one in told["findings"] if one["mark"]}
    assert [marks[k]["what"] for k in sorted(marks)] == [plain_text(finding.what) for finding in report.marked]
    assert sorted(marks) == list(range(1, len(report.marked) + 1))
    assert told["verdict"] == "fail"
    first = marks[1]
    assert first["word"] == "FAIL"
    assert first["advice"] == report.marked[0].advice != ""
    assert (first["at"] is None) is (first["cut"] is None) is False
    assert told["cautions"] == list(report.cautions)
    assert told["not_measured"] == list(report.not_measured)


def nasty(made: Made, text: str) -> Made:
    """A part whose every name is a given text."""
    finding = Finding(
        "wall.least", Verdict.FAIL, text, 1.0, 1.0, 3.0, at=(0.0, 0.0, 0.0), between=pair(text, text), advice=text
    )
    envelopes = tuple(replace(e, ident=Ident(Role.THING, "1", text)) for e in made.scene.envelopes[:1])
    return replace(
        made,
        job=replace(made.job, name=text),
        scene=replace(made.scene, envelopes=envelopes),
        part=replace(made.part, features=(ident(text), *made.part.features[1:])),
        report=replace(made.report, findings=(finding,), cautions=(text,), not_measured=(text,)),
    )


@pytest.mark.parametrize("text", NASTY)
def test_no_name_becomes_code(spacer, text):
    made = nasty(spacer, text)
    html = page.page_html(made)
    found, usual = read(html), read(page.page_html(spacer))
    assert [tag for tag, _ in found.tags] == [tag for tag, _ in usual.tags]
    (title,) = inside(found, "title")
    shown = plain_text(text).encode(errors="replace").decode()
    assert title == shown
    data = json.loads(inside(found, "script")[0])
    assert data["job"] == shown
    assert data["findings"][0]["advice"] == data["cautions"][0] == data["not_measured"][0] == shown
    assert data["switches"][0]["label"] == data["switches"][0]["shapes"][0]["name"] == shown
    assert inside(found, "script")[1:] == inside(usual, "script")[1:]


def test_only_what_is_written_there_may_run_and_nothing_is_fetched(spacer):
    found = read(page.page_html(spacer))
    (policy,) = [about["content"] for tag, about in found.tags if about.get("http-equiv") == "Content-Security-Policy"]
    rules = dict(rule.split(" ", 1) for rule in policy.split("; "))
    assert rules["default-src"] == "'none'"

    def hashed(text: str) -> str:
        return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"

    data, three, ours = inside(found, "script")
    assert rules["script-src"].split() == [hashed(three), hashed(ours)]
    assert rules["style-src"].split() == [hashed(*inside(found, "style"))]
    assert "<" not in data
    assert not any(
        name in ("src", "href", "style") or name.startswith("on") for _, about in found.tags for name in about
    )
    assert not re.search(
        r"\beval\(|new Function|innerHTML|insertAdjacentHTML|document\.write|\bfetch\(|XMLHttpRequest", ours
    )
    assert not re.search(r"\beval\(|new Function|\bfetch\(|XMLHttpRequest|importScripts|new Worker", three)
    assert "MIT" in three[:100]


def test_modules_stand_after_what_they_use(monkeypatch):
    assert page.bundle_scripts().startswith("const $three = THREE;\nconst $words = (() => {")
    names = {path.stem for path in page.DATA.glob("*.js")} - {"three.min", "three.entry"}
    assert names == set(page.MODULES)
    monkeypatch.setattr(page, "MODULES", tuple(reversed(page.MODULES)))
    with pytest.raises(ValueError, match=r"main\.js uses .*which does not stand before it"):
        page.bundle_scripts()


def luminance(colour: str) -> float:
    """Relative luminance by WCAG 2.1."""
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("block", [0, 1, 2])
def test_text_stands_out_from_its_ground_by_wcag(block):
    """WCAG 2.1, success criterion 1.4.6: 7 to 1. The blocks: light, dark by a switch, dark by the system."""
    style = (page.DATA / "page.css").read_text("utf-8")
    rules = re.findall(r"\{([^{}]*--ground: [^{}]*)\}", style)
    blocks = [dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", rule)) for rule in rules]
    colours = blocks[block]
    assert len(blocks) == 3
    assert blocks[1] == blocks[2]
    for ground in ("ground", "sheet"):
        for ink in ("ink", "soft", "fail", "warn", "pass", "missing", "go"):
            high, low = sorted((luminance(colours[ink]), luminance(colours[ground])), reverse=True)
            assert (high + 0.05) / (low + 0.05) >= 7, (ink, ground)
