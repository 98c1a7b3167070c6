"""Heat verdicts of the shipped materials in every place.

The rule: pass when the upper sustained service temperature reaches the place's design temperature, warn when only the
heat deflection temperature at 0.45 MPa does, else fail. The materials' figures are published ranges, the places' are
derived from published cabin temperatures; both are checked in tests/validation/test_materials.py.
"""

from pathlib import Path

import pytest

from mounts.checks.heat import climate_findings, heat_finding
from mounts.findings.report import Verdict
from mounts.load.models.limits import Limits
from mounts.load.models.workshop import Material
from mounts.load.resolve.library import load_profile

MATERIALS = Path(__file__).parents[2] / "profiles" / "materials"
VERDICTS = {  # door 75, dash, pillar and shelf 95, boot 80, floor 65
    "pla": "fail fail fail fail fail fail",
    "petg": "warn fail fail fail fail warn",
    "abs": "pass warn warn warn pass pass",
    "asa": "pass warn warn warn pass pass",
    "pa6-cf": "pass warn warn warn pass pass",
    "pc-abs": "pass pass pass pass pass pass",
    "pc": "pass pass pass pass pass pass",
    "birch-ply": "pass pass pass pass pass pass",
    "phenolic-ply": "pass pass pass pass pass pass",
    "mdf": "pass pass pass pass pass pass",
    "hdpe": "warn fail fail fail fail warn",
    "pvc-foam": "fail fail fail fail fail warn",
    "pa6": "pass warn warn warn pass pass",
    "pa12": "pass warn warn warn pass pass",
    "pp": "pass warn warn warn pass pass",
}
PLACES = ("door", "dash", "pillar", "shelf", "boot", "floor")


def material(name: str) -> Material:
    found = load_profile("material", MATERIALS / f"{name}.yaml").value
    assert isinstance(found, Material)
    return found


@pytest.mark.parametrize("name", VERDICTS)
def test_every_material_in_every_place(name: str) -> None:
    found = [heat_finding(material(name), place, Limits()) for place in PLACES]
    assert " ".join(finding.verdict for finding in found) == VERDICTS[name]
    assert [finding.limit for finding in found] == [75, 95, 95, 95, 80, 65]
    assert {finding.closed_form for finding in found} == {material(name).service}
    assert {(finding.code, finding.unit) for finding in found} == {("heat", "C")}


def test_every_shipped_material_is_judged_above() -> None:
    assert sorted(path.stem for path in MATERIALS.glob("*.yaml")) == sorted(VERDICTS)


@pytest.mark.parametrize(
    ("name", "verdicts"),  # EN 1995-1-1: service class 3 in a door, 2 on a floor and in a boot, 1 elsewhere
    [
        ("mdf", "fail pass pass pass warn warn"),
        ("birch-ply", "warn pass pass pass pass pass"),
        ("phenolic-ply", "pass pass pass pass pass pass"),
    ],
)
def test_a_sheet_is_judged_by_the_water_of_its_place(name: str, verdicts: str) -> None:
    found = [climate_findings(material(name), place, Limits())[1] for place in PLACES]
    assert " ".join(finding.verdict for finding in found) == verdicts
    assert {(finding.code, finding.unit) for finding in found} == {("wet", "1")}
    assert [finding.limit for finding in found] == [3, 1, 1, 1, 2, 2]


def test_a_filament_has_no_finding_of_water() -> None:
    assert climate_findings(material("asa"), "door", Limits()) == (heat_finding(material("asa"), "door", Limits()),)


@pytest.mark.parametrize(
    ("service", "softens", "verdict"),
    [
        (75.0, 90.0, Verdict.PASS),
        (74.99, 90.0, Verdict.WARN),
        (60.0, 75.0, Verdict.WARN),
        (60.0, 74.99, Verdict.FAIL),
        (75.0, 75.0, Verdict.PASS),
    ],
)
def test_at_the_limit_and_a_hundredth_below(service: float, softens: float, verdict: Verdict) -> None:
    asked = material("asa").model_copy(update={"service": service, "softens": softens})
    assert heat_finding(asked, "door", Limits()).verdict is verdict


def test_what_it_says() -> None:
    warns, fails = heat_finding(material("petg"), "door", Limits()), heat_finding(material("pla"), "door", Limits())
    assert warns.advice == (
        "take a material whose service temperature reaches 75 °C: petg only just keeps its shape there"
    )
    assert (
        fails.advice
        == f"take a material whose service temperature reaches 75 °C: pla softens at {material('pla').softens:g} °C"
    )
    assert warns.what == "service temperature of petg in a door"
    assert heat_finding(material("asa"), "door", Limits()).advice == ""
    assert warns.source == "derived from published cabin temperatures; behind a door trim no measurement was found"


def test_a_job_may_know_its_own_door() -> None:
    hot = Limits.model_validate({"temperatures": {"door": 90}})
    assert heat_finding(material("asa"), "door", hot).verdict is Verdict.WARN
    assert heat_finding(material("asa"), "dash", hot).limit == 95
