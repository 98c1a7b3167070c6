"""Preparation before anything is drilled, cut or printed, and the print itself, whatever the kind."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from mounts.findings.report import Verdict
from mounts.findings.wording import decisive
from mounts.identity import LAP
from mounts.load.models.job import Job
from mounts.made import Made
from mounts.papers.values import WorkStep
from mounts.papers.wording import describe_reading, join_words, least_certain

SAGS = ("print.overhang", "print.bridge")


def preparation_steps(
    made: Made, clearing: str, held: WorkStep, readings: Iterable[str], first_check: str = ""
) -> Iterator[WorkStep]:
    """Yield the template, readings, first check and print.

    Args:
        made: the part.
        clearing: what is done to its place once the battery is off, as "take the trim off"; "" for nothing.
        held: how the template is held in its place.
        readings: sizes that a caliper takes again in a minute.
        first_check: how the first-check slice is made and tried; "" for a kind that has none.
    """
    yield WorkStep(
        "Print this booklet's templates at 100 %. On each, measure both bars, along and across: 100 "
        "mm, which is 3 15/16 in.",
        "If a bar is off, switch off “fit to page” and print again. A template that is not true is worth nothing.",
    )
    if clearing:
        yield WorkStep(f"Read the cautions. Battery off, wait as long as the vehicle's maker says, then {clearing}.")
    yield held
    yield WorkStep(f"Check the readings that everything rests on: {join_words(readings)}.", _OFF)
    if made.report.not_measured:
        missing = join_words(describe_reading(path) for path in made.report.not_measured)
        yield WorkStep(
            f"Not measured so far: {missing}. Measure it now, write it into the file, and build again.",
            "What was not measured was not checked; the part may not fit.",
        )
    weak = least_certain(made.report.findings)
    value = None if weak is None else decisive(weak)
    if weak is not None and value is not None:
        units = made.job.units
        yield WorkStep(
            f"Measure once more what this rests on: {weak.what}. It is {units(value, 1)} and needs "
            f"{units(weak.limit or 0.0, 1)}; "
            f"the reading is known to {units(weak.margin_sd or 0.0, 1)}.",
        )
    if first_check:
        yield WorkStep(f"First check: {first_check}.", "Minutes of printing now, or a second print later.")


def slice_command(job: Job) -> str:
    """Return the command that makes the first-check slice."""
    return f"mounts build {job.file.stem} --first-check"


_OFF = "One that is off by more than its instrument can err: write the new value into the file and build again."


def print_steps(made: Made, pose: str, supported: str = "") -> Iterator[WorkStep]:
    """Yield the print, and the caliper; `supported` is what the slicer is to support in any case."""
    job = made.job
    printer = job.printer
    yield WorkStep(
        f"Print in {job.material.name} on {printer.name}: layers {printer.layer:g}, nozzle {printer.nozzle:g}, "
        f"{printer.walls} walls, {printer.top_bottom} solid layers above and below, infill {printer.infill_pct:g} %. "
        f"{pose} {_supports(made, supported)} Do not turn or scale it.",
    )
    yield WorkStep("Take the sizes of the sheet “Check the print”. All good? Go on. One off? Read there what it means.")


def _supports(made: Made, supported: str) -> str:
    """Return what the slicer is to support: that, what the checks found to sag, and nothing else."""
    sags = [
        f"the {found.what.partition(', ')[0]}"
        for found in made.report.findings
        if found.code in SAGS and found.verdict is not Verdict.PASS and not (supported and found.between == (LAP, LAP))
    ]
    under = join_words(dict.fromkeys(filter(None, (supported, *sags))))
    return f"Support {under} from the bed, and nothing else." if under else "No supports."
