"""`mounts build`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from mounts.cli.options import ALL, AS_JSON, IN_LIBRARY, OUT, PAPER, Named, examples, exit_code, show
from mounts.write.formats import FORMATS

if TYPE_CHECKING:
    from mounts.findings.report import PartReport, Report
    from mounts.load.models.job import Job
    from mounts.write.screen import Done

SAME = 1e-3  # mm: holes that differ less are the same
HALF_SLICE = ".b.first-check."


def _formats(_: click.Context, __: click.Parameter, value: str | None) -> tuple[str, ...]:
    """Return the formats of --only, each known."""
    if value is None:
        return tuple(FORMATS)
    wanted = tuple(dict.fromkeys(word.strip().lower() for word in value.split(",") if word.strip()))
    unknown = [word for word in wanted if word not in FORMATS]
    if unknown or not wanted:
        raise click.BadParameter(f"{', '.join(unknown) or 'nothing'} is no format; formats: {', '.join(FORMATS)}")
    return wanted


@click.command(
    short_help="Make the parts, pictures and papers of a job or a kit.",
    epilog=examples("mounts build my-job --only stl,pdf --paper letter", "mounts build --again out/my-job/record.yaml"),
)
@click.argument("job", metavar="JOB|KIT", type=Named("job", "kit"), required=False)
@OUT
@IN_LIBRARY
@click.option(
    "--only", callback=_formats, metavar="FORMATS", show_default="all", help=f"Formats of {', '.join(FORMATS)}."
)
@PAPER
@ALL
@AS_JSON
@click.option("--first-check", is_flag=True, help="Make only a thin slice of the base, to try on the vehicle.")
@click.option("--dummy", is_flag=True, help="Make only thin walls of the outside, to try window and trim.")
@click.option(
    "--workers", type=click.IntRange(1, 64), show_default="one a core", help="For a kit: parts made at a time."
)
@click.option("--cluster", metavar="ADDRESS", help="For a kit: work on this dask scheduler.")
@click.option("--trusted-network", is_flag=True, help="With --cluster: allow tcp://, since the network is yours alone.")
@click.option(
    "--time-limit",
    "seconds",
    type=click.FloatRange(1),
    default=600.0,
    help="Seconds that a job, or one part of a kit, may take.",
)
@click.option(
    "--again",
    type=click.Path(path_type=Path),
    metavar="RECORD",
    help="Instead of a job: the record.yaml of one that was built, to make the very same part.",
)
@click.option("--fresh", is_flag=True, help="For a kit: make every part again, changed or not.")
def build(
    *,
    job: str | None,
    out: Path,
    library: tuple[Path, ...],
    only: tuple[str, ...],
    paper: Literal["a4", "letter"],
    every: bool,
    as_json: bool,
    first_check: bool,
    dummy: bool,
    workers: int | None,
    cluster: str | None,
    trusted_network: bool,
    seconds: float,
    fresh: bool,
    again: Path | None = None,
) -> int:
    """Make a JOB: plan, build, check and write every side that it asks for; or a kit: all its jobs.

    With --again the parts are made from a record alone, whatever became of the library, into OUT/again; what would be
    different today is said: files, defaults, versions, verdicts.

    Ends with 0 when all is well, only warned of or to be finished by hand, 1 when something drawable breaks a limit,
    2 when the input is wrong, the part cannot be drawn or the files cannot be written there, 3 when a kernel fails,
    4 when some of a kit's parts were not made.
    """
    if first_check and dummy:
        raise click.UsageError("--first-check and --dummy are two things; make one after the other")
    if (job is None) == (again is None):
        raise click.UsageError("give a job or a kit, or --again with a record.yaml")
    if again is not None:
        from mounts.cli.again import build_again
        from mounts.write.output import Wish

        if first_check or dummy:
            raise click.UsageError("--first-check and --dummy go with a job")
        return build_again(again, library, out, Wish(only, paper), seconds, every=every, as_json=as_json)
    assert job is not None
    from mounts.load.catalogue.folders import read_kind
    from mounts.load.catalogue.layers import locate

    file = locate(("job", "kit"), job, library)
    if read_kind(file) == "kit":
        from mounts.cli.kit import Hands, build_kit
        from mounts.write.output import Wish

        if first_check or dummy:
            raise click.UsageError("--first-check and --dummy are for one job; give one of the kit's jobs")
        hands = Hands(workers, cluster, seconds, fresh, trusted_network)
        return build_kit(file, library, out, Wish(only, paper), hands, every=every, as_json=as_json)

    from mounts.load.resolve.inputs import gather_inputs
    from mounts.load.resolve.job import load_from
    from mounts.load.resolve.library import find_library

    held = find_library(file, library)
    jobs = load_from(held, file)  # wrong input is answered before anything heavier is imported

    from mounts import pipeline, trials
    from mounts.cli.following import following, time_limit
    from mounts.load.results.report import read_earlier
    from mounts.write.files import safe_name
    from mounts.write.output import Wish

    wish = Wish(only, paper)
    if first_check:
        with following(), time_limit(seconds):
            names, folder = trials.write_slices(jobs, out, wish)
        click.echo(f"{folder}: {', '.join(names)}")
        if any(HALF_SLICE in name for name in names):
            click.echo("the mount comes in two halves, and so does its slice: print both, and push their ends together")
            click.echo("on the face; every screw must go in by hand, and the opening must show")
        return 0
    if dummy:
        with following(), time_limit(seconds):
            report, folder = trials.write_dummies(jobs, out, wish)
            own = trials.planned_report(jobs)
        show(report, _dummies_done(report, own, folder, job), as_json=as_json, every=every)
        return exit_code(report)
    before = read_earlier(out / safe_name(jobs[0].name))
    with following(), time_limit(seconds):
        report, folder = pipeline.write(jobs, out, wish, gather_inputs(held, file))
    done = replace(_done(report, folder, job, jobs), said=tuple(_changed_holes(before, report, jobs[0])))
    show(report, done, as_json=as_json, every=every, pictures="png" in only)
    return exit_code(report)


def _dummies_done(report: Report, own: Report, folder: Path, name: str) -> Done:
    """Return what was written of the dummies, what the mounts' own plans miss, and what to do with the dummies."""
    from mounts.findings.causes import causes, seen_findings
    from mounts.findings.report import Verdict
    from mounts.findings.wording import value_with_limit
    from mounts.write.screen import Done, next_step

    missed = [cause.worst.finding for cause in causes(seen_findings(own), Verdict.FAIL, Verdict.WARN)]
    said = [(one.verdict.word, f"the mount itself: {one.what}: {value_with_limit(one, own.units)}") for one in missed]
    said += [("", f"→ mounts check {name} says what to do about that")] if missed else []
    steps = (
        "print each half as it lies and screw both together through the opening with two M3 screws",
        "put them on the panel's own fixings: wind the window down and up by hand, close the trim over them; nothing "
        "may touch",
        "battery off near airbags; no hand in the door while the window moves",
    )
    again = next_step(report, f"mounts build {name} --dummy")
    files = f"{sum(len(part.files) for part in report.parts)} in {folder}/: {', '.join(report.parts[0].files)} …"
    return Done(files, (again,) if again else steps, lead="of the dummy", said=tuple(said))


def _changed_holes(before: Sequence[PartReport], report: Report, job: Job) -> Iterator[tuple[str, str]]:
    """Yield which holes differ from an earlier build's because the default of `sure` did, from what to what."""
    for was, now in ((was, now) for was in before for now in report.parts if was.side == now.side):
        (old, share), (new, more) = (_sized(was), _sized(now))
        if "sure" in job.places or None in (share, more) or share == more:
            continue
        for hole in (hole for hole in old if hole in new and abs(old[hole] - new[hole]) > SAME):
            sizes = f"{job.units(old[hole], 2)} is now {job.units(new[hole], 2)}"
            yield now.side, f"{hole}: {sizes}, as the default of sure went from {share:g} to {more:g} %"


def _sized(part: PartReport) -> tuple[dict[str, float], float | None]:
    """Return the planned diameters of a part's holes by what they are called, and the wanted chance, per cent."""
    holes = [one for one in part.findings if one.code == "hole.diameter"]
    sure = next((one.limit for one in part.findings if one.code == "chance.mount"), None)
    return {one.what.partition(",")[0]: one.closed_form or 0.0 for one in holes}, sure


def _done(report: Report, folder: Path, name: str, jobs: Sequence[Job]) -> Done:
    """Return what was written, where to look first, and the next step."""
    from mounts.kinds.kind import kind_of
    from mounts.write.screen import Done, next_step

    names = [file for part in report.parts for file in part.files] + list(report.files)
    shown = {form: [file for file in names if file.endswith(form)] for form in (".png", ".html", ".pdf")}
    files = f"{len(names)} and report.json in {folder}/"
    opened = [shown[form][0] for form in (".png", ".html") if shown[form]]
    if opened:
        files += f": open {', '.join(opened)}"
    steps = [next_step(report, f"mounts build {name}")]
    if not steps[0]:
        steps = [f"print {shown['.pdf'][0]} at 100 %, hold its template against the panel"] if shown[".pdf"] else []
        if kind_of(jobs[0]).slice is not None:
            steps.append(f"mounts build {name} --first-check (a thin slice to try first)")
    return Done(files, tuple(steps), next(iter(shown[".pdf"]), "--all shows them"))
