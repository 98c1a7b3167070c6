"""What is done before anything is drilled, cut or printed: the same for every kind but for its readings."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import hypot

from mounts.findings.report import Verdict
from mounts.geometry.ties import most_of
from mounts.kinds.kind import Kind
from mounts.kinds.table import KINDS
from mounts.load.models.resolved import BoardJob, CupJob, Job, SpacerJob
from mounts.made import Made
from mounts.papers.values import Step
from mounts.papers.words import across, doubtful, listed, mm, reading, value_of

SAGS = ("print.overhang", "print.bridge")
OF_LAPS = "overhang of the lap"  # whose support the tongues of a half are


def before(made: Made) -> Iterator[Step]:
    """Template, readings, first check and print."""
    job = made.job
    yield Step(
        "Print this booklet's templates at 100 %. On each, measure both bars: 100 mm along and across.",
        "If a bar is off, switch off “fit to page” and print again. A template that is not true is worth nothing.",
    )
    if isinstance(job, BoardJob):
        yield Step("Read the cautions. Battery off, wait as long as the vehicle's maker says, then clear the place.")
    elif not isinstance(job, SpacerJob):
        off = "trim" if isinstance(job, Job) else "panel"
        yield Step(
            f"Read the cautions. Battery off, wait as long as the vehicle's maker says, then take the {off} off."
        )
    yield _held(made)
    yield Step(f"Check the readings that everything rests on: {listed(_readings(made))}.", _OFF)
    if made.report.not_measured:
        missing = listed(reading(path) for path in made.report.not_measured)
        yield Step(
            f"Not measured so far: {missing}. Measure it now, write it into the file, and build again.",
            "What was not measured was not checked; the part may not fit.",
        )
    weak = doubtful(made.report.findings)
    if weak is not None and value_of(weak) is not None:
        yield Step(
            f"Measure once more what this rests on: {weak.what}. It is {value_of(weak):.1f} and needs "
            f"{weak.limit:.1f}; "
            f"the reading is known to {weak.margin_sd:.1f}.",
        )
    yield from _first_check(made)


_OFF = "One that is off by more than its instrument can err: write the new value into the file and build again."


def _held(made: Made) -> Step:
    job = made.job
    if isinstance(job, Job):
        names = listed(job.panel.fixings.points)
        return Step(
            f"Lay the template of each side on its own face, 12:00 up: the opening and the holes "
            f"{names} must show whole.",
            "Hold it against the light, or prick the centres through. If one hole is off, measure the pattern again.",
        )
    if isinstance(job, CupJob):
        return Step(
            f"Prick the holes {listed(job.panel.pins)} out of the template and hang it on the pins, behind the face.",
            "All must go on without pulling. If one does not, measure the pins again.",
        )
    if isinstance(job, BoardJob):
        return Step(
            "Lay the template in its place, and each device with its plugs on its outline: holes and ears must meet.",
            "If a hole is off, measure the device again.",
        )
    return Step(
        "Lay the template on the opening: the opening must show all round its line. Stand the device on its own line.",
        "A line that is covered on one side means a wrong size or a wrong centre.",
    )


def _readings(made: Made) -> Iterator[str]:
    """Sizes that a caliper takes again in a minute."""
    job = made.job
    if isinstance(job, Job):
        panel = job.panel
        points = panel.fixings.points
        one, other = most_of(combinations(points, 2), key=lambda pair: _apart(points[pair[0]], points[pair[1]]))
        yield f"opening {across(panel.opening.outline())}"
        yield f"{one} to {other}, centre to centre, {_apart(points[one], points[other]):.1f}"
        if panel.fixings.hole is not None:
            yield f"holes ⌀ {mm(panel.fixings.hole)}"
        if panel.behind is not None and panel.behind.glass is not None:
            yield f"glass at its nearest {mm(min(panel.behind.glass.at_clock.values()))} behind the face"
        if panel.in_front is not None and panel.in_front.trim is not None:
            yield f"trim at its lowest {mm(min(panel.in_front.trim.at_clock.values()))} above the face"
        yield f"speaker {mm(job.speaker.depth)} deep, flange {across(job.speaker.flange.outline())}"
    elif isinstance(job, CupJob):
        points = job.panel.points
        one, other = most_of(combinations(points, 2), key=lambda pair: _apart(points[pair[0]], points[pair[1]]))
        yield f"{one} to {other}, centre to centre, {_apart(points[one], points[other]):.1f}"
        yield listed(f"pin {name} ⌀ {mm(pin.diameter)}, {mm(pin.height)} high" for name, pin in job.panel.pins.items())
        yield f"free depth behind the face {mm(job.panel.room)}"
        yield f"tweeter {mm(job.speaker.depth)} deep, flange {across(job.speaker.flange.outline())}"
    elif isinstance(job, BoardJob):
        if job.room is not None:
            yield f"free height over the floor lining {mm(job.room)}"
        for placed in job.devices:
            yield f"{placed.name} {across(placed.device.outline.outline())}, {mm(placed.device.height)} high"
    elif isinstance(job, SpacerJob):
        assert job.port.opening is not None
        assert job.port.depth is not None
        assert job.device.body is not None
        yield f"opening {across(job.port.opening.outline())}, {mm(job.port.depth)} deep"
        yield f"device {across(job.device.body.outline())}" + (
            f", {mm(job.device.length)} long" if job.device.length else ""
        )


def _first_check(made: Made) -> Iterator[Step]:
    kind: Kind = KINDS[made.job.kind, made.job.make]
    if kind.slice is None:
        return
    what = "on the face: every screw must go in by hand, and the opening must show" if made.job.kind == "ring" else (
        "into the opening, and the device into it: that is how the sleeve will go"
    )  # fmt: skip
    in_two = isinstance(made.job, Job) and made.job.half
    it = "make the thin slice ({}), print it, try it"
    if in_two:
        it = "make the thin slices of both halves ({}), print them, push their ends together, try them"
    yield Step(
        f"First check: {it.format(f'mounts build {made.job.file.name} --first-check')} {what}.",
        "Minutes of printing now, or a second print later.",
    )


def printed(made: Made, pose: str, supported: str = "") -> Iterator[Step]:
    """The print, and the caliper; `supported` is what the slicer is to support in any case."""
    job = made.job
    printer = job.printer
    yield Step(
        f"Print in {job.material.name} on {printer.name}: layers {printer.layer:g}, nozzle {printer.nozzle:g}, "
        f"{printer.walls} walls, {printer.top_bottom} solid layers above and below, infill {printer.infill_pct:g} %. "
        f"{pose} {_supports(made, supported)} Do not turn or scale it.",
    )
    yield Step(
        "Take the five sizes of the sheet “Check the print”. All good? Go on. One off? Read there what it means."
    )


def _supports(made: Made, supported: str) -> str:
    """What the slicer is to support: that, what the checks found to sag, and nothing else."""
    sags = [
        f"the {found.what.partition(', ')[0]}"
        for found in made.report.findings
        if found.code in SAGS and found.verdict is not Verdict.PASS and not (supported and OF_LAPS in found.what)
    ]
    under = listed(dict.fromkeys(filter(None, (supported, *sags))))
    return f"Support {under} from the bed, and nothing else." if under else "No supports."


def _apart(one: tuple[float, float], other: tuple[float, float]) -> float:
    return hypot(one[0] - other[0], one[1] - other[1])
