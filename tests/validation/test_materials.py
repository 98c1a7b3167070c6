"""The materials of the library against published ranges and against the heat of their places.

Sources: typical ranges of the Python package bd_materials and, for printed specimens, the FDM appendix of the
filament-db wiki; a PC-ABS filament's data sheet. How hot it gets: cabin air up to 76 (Grundstein, Meentemeyer, Dowd,
Int. J. Biometeorology 2009), dashboards 69 to 71 after one hour (Vanos et al., Temperature 2018), dark surfaces 82 to
93 (McLaren et al., Pediatrics 2005); from these the design temperatures are derived, since nobody has published a
door pocket's.
"""

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

MATERIALS = Path(__file__).parents[2] / "profiles" / "materials"
DESIGN = {"door": 75, "dash": 95, "pillar": 95, "shelf": 95, "boot": 80, "floor": 65}

FILAMENTS = ("abs", "asa", "pa12", "pa6", "pa6-cf", "pc", "pc-abs", "petg", "pla", "pp")
SHEETS = ("birch-ply", "hdpe", "mdf", "phenolic-ply", "pvc-foam")

# density kg/m3; strength MPa; modulus MPa; Poisson; expansion 1e-6/K; service; HDT at 0.45 MPa
RANGES = {
    "pla": (1240, (45, 70), (3000, 3900), (0.35, 0.40), (60, 90), (50, 60), (50, 60)),
    "petg": (1270, (45, 55), (2000, 2200), (0.38, 0.43), (60, 80), (60, 60), (65, 75)),
    "abs": (1050, (30, 50), (1800, 2500), (0.35, 0.40), (80, 110), (60, 80), (75, 98)),
    "asa": (1070, (40, 55), (1900, 2600), (0.35, 0.40), (80, 100), (65, 85), (85, 100)),
    "pc": (1200, (55, 75), (2200, 2500), (0.37, 0.42), (65, 75), (115, 145), (125, 140)),
}


@cache
def material(name: str) -> dict[str, Any]:
    found: dict[str, Any] = yaml.safe_load((MATERIALS / f"{name}.yaml").read_text(encoding="utf-8"))
    return found


def names() -> list[str]:
    return sorted(path.stem for path in MATERIALS.glob("*.yaml"))


def heat(name: str, place: str) -> str:
    """The rule: pass on the upper service temperature, warn when only the heat deflection temperature reaches."""
    values, design = material(name), DESIGN[place]
    return "pass" if values["service"] >= design else "warn" if values["softens"] >= design else "fail"


def test_the_materials() -> None:
    assert names() == sorted((*FILAMENTS, *SHEETS))


@pytest.mark.parametrize("name", RANGES)
def test_values_lie_in_the_published_ranges(name: str) -> None:
    values = material(name)
    density, strength, modulus, poisson, expansion, service, softens = RANGES[name]
    assert values["density"] == density
    assert values["strength_mpa"] == strength[0]  # the lower end: a printed part is not solid
    assert modulus[0] <= values["modulus_mpa"] <= modulus[1]
    assert poisson[0] <= values["poisson"] <= poisson[1]
    assert expansion[0] <= values["expansion"] * 1e6 <= expansion[1]
    assert values["softens"] == softens[1]
    assert values["service"] == min(service[1], softens[1])  # upper ends, and none above where it softens


def test_pc_abs_is_its_data_sheet() -> None:
    values = material("pc-abs")
    found = tuple(values[key] for key in ("density", "strength_mpa", "modulus_mpa", "softens"))
    assert found == (1130, 54, 2350, 122)
    assert values["service"] == 100


def test_moist_polyamide_is_judged_by_the_low_end() -> None:
    # bd_materials on PA6: strength 50 to 90, service 80 to 130; a printed PA-CF coupon: Z/X at most 36.5 / 89.6 = 0.41
    values = material("pa6-cf")
    assert (values["strength_mpa"], values["service"]) == (50, 80)
    assert values["across_layers"] <= 36.5 / 89.6


@pytest.mark.parametrize("name", names())
def test_layers_hold_half_as_well_and_nothing_serves_above_where_it_softens(name: str) -> None:
    # bond between layers 0.5 to 0.9 of the solid (a print guide); 0.4 for fibre-filled
    values = material(name)
    assert values["across_layers"] == {"pa6-cf": 0.4, **dict.fromkeys(SHEETS, 1.0)}.get(
        name, 0.5
    )  # a sheet has no layers
    assert values["service"] <= values["softens"]
    assert values["source"]
    assert values["confidence"]


def test_usual_shrink() -> None:
    # as printed: usual defaults, common practice; of the others, three moulding shrink charts (PA6: 0.7 to 1.5)
    usual = {"abs": (0.5, 0.8), "asa": (0.5, 0.8), "petg": (0.1, 0.3), "pla": (0.1, 0.3)}
    moulded = {"pc": (0.5, 0.7), "pc-abs": (0.5, 0.7), "pa6-cf": (0.7, 1.5), "pa6": (0.7, 1.5)}
    from_memory = {"pa12": (0.7, 1.5), "pp": (1.0, 2.0)}
    found = {name: material(name)["shrink_pct"] for name in names() if name not in SHEETS}
    assert {name: (one["least"], one["most"]) for name, one in found.items()} == usual | moulded | from_memory
    assert all(one["source"] for one in found.values())


@pytest.mark.parametrize(
    ("place", "expected"),
    [
        ("door", {"pla": "fail", "petg": "warn", "abs": "pass", "asa": "pass", "pc": "pass", "pc-abs": "pass"}),
        ("dash", {"pla": "fail", "petg": "fail", "abs": "warn", "asa": "warn", "pc": "pass", "pc-abs": "pass"}),
        ("pillar", {"pla": "fail", "petg": "fail", "abs": "warn", "asa": "warn", "pc": "pass", "pc-abs": "pass"}),
        ("shelf", {"pla": "fail", "petg": "fail", "abs": "warn", "asa": "warn", "pc": "pass", "pc-abs": "pass"}),
        ("boot", {"pla": "fail", "petg": "fail", "abs": "pass", "asa": "pass", "pc": "pass", "pc-abs": "pass"}),
        ("floor", {"pla": "fail", "petg": "warn", "abs": "pass", "asa": "pass", "pc": "pass", "pc-abs": "pass"}),
    ],
)
def test_heat_verdicts(place: str, expected: dict[str, str]) -> None:
    # published guidance: PLA fails everywhere, PETG is marginal in a door, ABS and ASA pass there and are marginal on
    # a dash, PC and PC-ABS pass
    assert {name: heat(name, place) for name in expected} == expected


def test_carbon_filled_polyamide_passes_a_door_and_needs_care_on_a_dash() -> None:
    # its heat deflection temperature is far above both; moist, it creeps
    assert (heat("pa6-cf", "door"), heat("pa6-cf", "dash")) == ("pass", "warn")
    assert material("pa6-cf")["softens"] >= 150


def test_sheets_bear_what_their_standards_and_handbooks_say() -> None:
    # Handbook of Finnish Plywood, birch, 12 mm: characteristic bending strength 42.9 along and 33.2 across the face
    # grain, modulus 6781 across; EN 622-5, general purpose MDF, 12 to 19 mm: 20 and 2200; a table of plastics for HDPE:
    # 952 to 965 kg/m3, 22 to 31 MPa, 59 to 110e-6/K, 79 to 91 degrees. The plywood's and the MDF's from memory.
    for name in ("birch-ply", "phenolic-ply"):
        values = material(name)
        assert (values["along_mpa"], values["strength_mpa"], values["modulus_mpa"]) == (42.9, 33, 6800)
    assert (material("mdf")["strength_mpa"], material("mdf")["modulus_mpa"]) == (20, 2200)
    hdpe = material("hdpe")
    assert 952 <= hdpe["density"] <= 965 and 59 <= hdpe["expansion"] * 1e6 <= 110
    assert (hdpe["strength_mpa"], hdpe["softens"]) == (22, 79)


def test_water_classes_are_those_of_the_standards() -> None:
    # EN 622-5: general purpose MDF is for dry places; EN 636-2 and -3: plywood for damp and wet ones
    classes = {name: material(name)["service_class"] for name in SHEETS}
    assert classes == {"birch-ply": 2, "hdpe": 3, "mdf": 1, "phenolic-ply": 3, "pvc-foam": 3}


def test_plywood_holds_a_screw_no_better_than_the_wood() -> None:
    # Wood Handbook (FPL-GTR-282), chapter 8, from memory: withdrawal of a wood screw 108.25 G2 D N per mm of thread;
    # birch 0.62
    whole = 108.25 * 0.62**2 * 4
    assert 0.7 * whole < material("birch-ply")["screw_hold"] < 0.8 * whole
