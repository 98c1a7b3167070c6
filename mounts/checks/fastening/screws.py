"""Findings on the length of a screw: one that is sold and engages, whatever it goes through."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf, isinf

from mounts.checks.fastening.joints import PlacedJoint, choose_length, choose_washers, group_joints
from mounts.design.fasteners import Joint, length_tolerance
from mounts.findings.compare import Said, at_least, state
from mounts.findings.report import Finding, Verdict
from mounts.geometry.ties import reaches
from mounts.lengths import Units
from mounts.load.models.hardware import Screw


def length_findings(
    which: str, joints: tuple[PlacedJoint, ...], screw: Screw | None, another: str = "", units: Units = Units.MM
) -> Iterator[Finding]:
    """Yield engagement, and room for the tip, of each group of screws that are alike."""
    for group in group_joints(joints):
        names = ", ".join(one.name for one in group)
        length = choose_length(group[0], screw)
        if screw is None or length is None:
            yield _none_fits(which, names, group[0], screw, another, units=units)
            continue
        joint, label, first = group[0].joint, f"{screw.name} × {length:g}, {which} screws {names}", group[0].name
        engaged, tip, holds = joint.engaged(length), group[0].tip(length), group[0].holds
        what = f"thread engaged by {label}"
        yield at_least(f"screw.{which}", engaged, joint.engages, what, at=tip, case=first, source=holds)
        if not isinf(joint.room):
            what, source = f"room at the tip of {label}", "a screw may be that much longer, js15 of ISO 4759-1"
            said: Said = {"at": tip, "case": f"{which} {first}", "source": source}
            yield at_least("screw.bottom", joint.room - length, length_tolerance(length), what, **said)


def _none_fits(
    which: str, names: str, held: PlacedJoint, screw: Screw | None, another: str, *, units: Units
) -> Finding:
    """Return the finding that no length that is sold fits, with what would."""
    joint = held.joint
    longest = _longest(joint)
    need = f"{units(joint.least, 1)}" + ("" if isinf(longest) else f" to {units(longest, 1)}")
    if screw is None:
        what, advice = f"length of {which} screws {names}: no screw in the library", f"take screws {need} long"
        lacks: Said = {"case": held.name, "source": held.holds, "advice": advice}
        return state(f"screw.{which}", Verdict.WARN, what, limit=joint.least, **lacks)
    stacked = choose_washers(held, screw, units)
    if stacked:
        advice = "buy {:g} long and put washers {} under each head, which lifts the heads".format(*stacked)
    else:
        advice = f"it needs {need}{another or '; take another screw'}"
    near = nearest_length(joint, screw)
    return state(
        f"screw.{which}",
        Verdict.WARN if stacked else Verdict.FAIL,
        f"thread engaged by {screw.name} × {near:g}, {which} screws {names}: no length that is sold fits",
        joint.engaged(near),
        joint.engages,
        at=held.tip(near),
        case=held.name,
        source=held.holds,
        advice=advice,
    )


def _longest(joint: Joint) -> float:
    """Return the longest screw that never bottoms, mm."""
    return joint.room - length_tolerance(joint.room) if not isinf(joint.room) else inf


def nearest_length(joint: Joint, screw: Screw) -> float:
    """Return the longest sold that does not bottom, else the shortest of all, mm."""
    return max((one for one in screw.lengths if reaches(joint.clear(one), 0.0)), default=min(screw.lengths))
