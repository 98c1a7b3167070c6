"""report.json: every field, always, in one order, with no figure that JSON cannot hold."""

from __future__ import annotations

import json
from math import inf, nan, radians, sin

from mounts.findings.codes import Sense
from mounts.findings.report import Estimate, Finding, PartReport, Report, Verdict
from mounts.write.report import report_json
from tests.idents import pair

POSE = ((0.0, -1.0, 0.0, 1 / 3), (1.0, 0.0, 0.0, -0.0), (0.0, 0.0, 1.0, sin(radians(8))), (0.0, 0.0, 0.0, 1.0))


def ordered(tree: object) -> list[object]:
    """The keys of nested mappings, in their order."""
    if isinstance(tree, dict):
        return [[key, ordered(value)] for key, value in tree.items()]
    return [ordered(value) for value in tree] if isinstance(tree, list) else []


def test_every_field_in_its_order() -> None:
    glass = Finding(
        "clear.glass", Verdict.FAIL, "magnet to the glass", 4.20004, 4.19996, 10, "mm", (1, 2.00006, -3),
        pair("speaker", "glass"), "common practice", "tilt 6 or less", 1.234567, Sense.LEAST,
    )  # fmt: skip
    left = PartReport(
        "left",
        (glass,),
        ("behind.things", "in_front.trim"),
        POSE,
        ("left.stl", "left.step"),
        ("mind the glass",),
        Estimate(79.00004, 5.25, None, 3, 7),
    )
    right = PartReport("right", (Finding("solid.one", Verdict.PASS, "one solid", unit="1"),), ("in_front.trim", "ears"))
    told = json.loads(report_json(Report("linnet", (left, right))))
    nothing = {"measured": None, "closed_form": None, "limit": None, "unit": "1", "at": None, "between": None}
    wanted = {
        "schema": 2,
        "job": "linnet",
        "verdict": "fail",
        "files": [],
        "parts": [
            {
                "side": "left",
                "files": ["left.stl", "left.step"],
                "pose": [[0, -1, 0, 0.333333333], [1, 0, 0, 0], [0, 0, 1, 0.139173101], [0, 0, 0, 1]],
                "findings": [
                    {
                        "code": "clear.glass",
                        "verdict": "fail",
                        "what": "magnet to the glass",
                        "sense": "least",
                        "measured": 4.2,
                        "closed_form": 4.2,
                        "limit": 10,
                        "unit": "mm",
                        "at": [1, 2.0001, -3],
                        "between": [{"id": "speaker", "label": "speaker"}, {"id": "glass", "label": "glass"}],
                        "source": "common practice",
                        "advice": "tilt 6 or less",
                        "margin_sd": 1.2346,
                    }
                ],
                "not_measured": ["behind.things", "in_front.trim"],
                "cautions": ["mind the glass"],
                "units": "mm",
                "estimate": {"grams": 79, "hours": 5.25, "cost": None, "mass_error_pct": 3, "time_error_pct": 7},
            },
            {
                "side": "right",
                "files": [],
                "pose": [[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]],
                "findings": [
                    {"code": "solid.one", "verdict": "pass", "what": "one solid", "sense": None, **nothing,
                     "source": "", "advice": "", "margin_sd": None}
                ],
                "not_measured": ["in_front.trim", "ears"],
                "cautions": [],
                "units": "mm",
                "estimate": None,
            },
        ],
        "not_measured": ["behind.things", "in_front.trim", "ears"],
        "sha256": {},
    }  # fmt: skip
    assert told == wanted
    assert ordered(told) == ordered(wanted)


def test_what_json_cannot_hold_is_null() -> None:
    finding = Finding("placed", Verdict.WARN, "x", nan, inf, -inf, "mm", (nan, 0.0, -0.0), margin_sd=nan)
    text = report_json(Report("x", (PartReport("", (finding,)),)))
    (told,) = json.loads(text, parse_constant=lambda name: f"not JSON: {name}")["parts"][0]["findings"]
    assert (told["measured"], told["closed_form"], told["limit"], told["margin_sd"]) == (None, None, None, None)
    assert told["at"] == [None, 0, 0]
    assert "-0.0" not in text


def test_text_of_any_script_is_kept() -> None:
    name = 'linnet <b>&</b> "山🚐" [left] \x1b\n'
    text = report_json(Report(name, ()))
    assert json.loads(text) == {
        "schema": 2,
        "job": name,
        "verdict": "pass",
        "files": [],
        "parts": [],
        "not_measured": [],
        "sha256": {},
    }
    assert "山🚐" in text and text.endswith("}\n")
    assert json.loads(report_json(Report("half \ud83d", ())))["job"] == "half ?"


def test_the_files_stand_there_by_their_sha256() -> None:
    told = json.loads(report_json(Report("x", ()), {"left.stl": "ab" * 32}))
    assert told["sha256"] == {"left.stl": "ab" * 32}


def test_equal_reports_give_equal_text() -> None:
    report = Report("x", (PartReport("left", (), ("b", "a")),))
    assert report_json(report) == report_json(report)
