"""`mounts outcome`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

import click

from mounts.cli.options import IN_LIBRARY, OUT, Named, examples

if TYPE_CHECKING:
    from mounts.fitted import Expected
    from mounts.load.models.outcome import Learned, Outcome
    from mounts.load.models.workshop import Material, Printer
    from mounts.load.results.record import Record

BLANK = "outcome.yaml"
RECORDS = "records"  # folder of a library


@click.command(
    short_help="Say what became of a fitted mount, and learn from it.",
    epilog=examples("mounts outcome my-job --blank", "mounts outcome my-job --answers out/my-job/outcome.yaml"),
)
@click.argument("job", type=Named("job"))
@click.option("--blank", is_flag=True, help="Write a file with the questions beside the parts, to fill in.")
@click.option("--answers", type=click.Path(path_type=Path), metavar="FILE", help="The file you filled in.")
@OUT
@IN_LIBRARY
def outcome(*, job: str, blank: bool, answers: Path | None, out: Path, library: tuple[Path, ...]) -> int:
    """Say what became of JOB once it was built and fitted: five questions, in a file or here on the screen.

    Did it go on; how far is the tightest screw off; how large are gaps that were planned; five sizes of the print; what
    else. The answers are kept with the job's record in your library, and from all of them is learned how well your
    instruments read and how your printer prints. Plans use it from then on, in place of the table; mounts list printers
    shows it. What is far off everything else is said, and nothing is learned from it.
    """
    if blank and answers is not None:
        raise click.UsageError("--blank writes the file that --answers reads; give one of them")
    from mounts.load.results.record import RECORD, read_record
    from mounts.load.results.report import read_earlier

    folder = _folder(job, out, library)
    record, reports = read_record(folder / RECORD), read_earlier(folder)

    from mounts.again import load_recorded
    from mounts.errors import InputError, Problem
    from mounts.fitted import ask, expected_parts, outcomes_of
    from mounts.load.catalogue.folders import nearest_profiles, short_path
    from mounts.load.resolve.outcome import load_answers
    from mounts.write.files import publish

    with TemporaryDirectory(prefix="mounts-") as scratch:
        jobs, _, _ = load_recorded(record, Path(scratch).resolve())
        expected = expected_parts(record, jobs, reports)
        if not expected:
            raise InputError(Problem("report.json is not beside the record; build the job again", file=folder))
        if blank:
            publish(folder, {BLANK: ask(record, expected).encode()})
            click.echo(f"{folder / BLANK}: fill it in, then: mounts outcome {job} --answers {folder / BLANK}")
            return 0
        given = load_answers(folder / BLANK, _asked_on_screen(record, expected)) if answers is None else None
        found = outcomes_of(*(given or load_answers(answers or folder)), record, expected)
    root = short_path(library[0] if library else nearest_profiles(Path()) or Path("profiles"))
    _keep(root, found, folder / RECORD)
    return 0


def _folder(job: str, out: Path, library: Sequence[Path]) -> Path:
    """Return the folder into which a job was built; raise InputError where it never was."""
    from mounts.errors import InputError, Problem
    from mounts.load.catalogue.layers import locate
    from mounts.load.results.record import RECORD
    from mounts.write.files import safe_name

    folder = Path(job) if Path(job).is_dir() else out / safe_name(Path(job).stem)
    if not (folder / RECORD).is_file():
        locate(("job",), job, library)
        raise InputError(
            Problem(f"{job} was never built here: there is no {RECORD} in {folder}; build it, or give --out")
        )
    return folder


def _asked_on_screen(record: Record, expected: Mapping[str, Expected]) -> str:
    """Ask the questions one by one, and return the answers as the text of their file."""
    from mounts.fitted import ASKED
    from mounts.write.record import to_yaml

    def said(question: str) -> str:
        return str(click.prompt(question, default="", show_default=False)).strip()

    click.echo(f"{record.job}, build {record.id}; press Enter where you did not look")
    parts: dict[str, Any] = {}
    for name, one in expected.items():
        units, own = one.job.units, dict[str, Any]()
        own["went_on"] = said(f"{name}: did it go on (yes, tight, filed, no)")
        if one.holes and (hole := said(f"{name}: which hole is tightest ({', '.join(one.holes)})")):
            own["tightest"] = {
                "hole": hole,
                "off": said("  how far does its screw stand from the hole's middle, mm") or "0",
            }
        gaps: dict[str, float | None] = {what: f.closed_form for what, (f, _) in list(one.gaps.items())[:ASKED]}
        sizes: dict[str, float | None] = {what: size.drawn for what, size in one.sizes.items()}
        for key, values in (("gaps", gaps), ("sizes", sizes)):
            word = "planned" if key == "gaps" else "drawn"
            read = {what: said(f"{name}: {what} ({word} {units(value or 0.0, 2)})") for what, value in values.items()}
            own[key] = {what: value for what, value in read.items() if value}
        own["notes"] = said(f"{name}: anything else")
        parts[name] = {key: value for key, value in own.items() if value}
    return to_yaml({"kind": "outcome", "job": record.job, "record": record.id, "by": said("your name"), "parts": parts})


def _keep(root: Path, found: Mapping[str, Outcome], record: Path) -> None:
    """Keep outcomes and their record in a library, learn from all that it holds, and say what."""
    from mounts.errors import InputError, Problem
    from mounts.learning.learn import learn
    from mounts.learning.words import went_line
    from mounts.load.catalogue.layers import LEARNED
    from mounts.load.resolve.library import find_library
    from mounts.load.resolve.outcome import OUTCOMES, load_outcomes
    from mounts.write.files import publish, safe_name
    from mounts.write.record import to_yaml

    names = {f"{safe_name(one.job)}-{name}-{one.record}.yaml": one for name, one in found.items()}
    for name in (name for name in names if (root / OUTCOMES / name).exists()):
        what = "there is an outcome of this mount already; delete that file to answer again"
        raise InputError(Problem(what, file=root / OUTCOMES / name))
    every = (*load_outcomes(root), *found.values())
    held = find_library(None, root)

    def known(printer: str, material: str) -> tuple[Printer, Material] | None:
        try:
            pair = held.get("printer", printer).value, held.get("material", material).value
        except InputError:
            return None
        return None if None in pair else pair

    learned, slips = learn(every, known)
    kept = {name: to_yaml(one.model_dump(mode="json", exclude_defaults=True)).encode() for name, one in names.items()}
    first = next(iter(found.values()))
    publish(root / RECORDS, {f"{safe_name(first.job)}-{first.record}.yaml": record.read_bytes()})
    publish(root / OUTCOMES, kept)
    head = (
        "# What this workshop learned from its fitted mounts; mounts outcome writes it from the files in outcomes/.\n"
    )
    publish(root, {LEARNED: (head + to_yaml(learned.model_dump(mode="json"))).encode()})
    for name in names:
        click.echo(f"kept: {root / OUTCOMES / name}")
    for line in filter(None, (went_line(every), *learned_lines(learned))):
        click.echo(line)
    for slip in slips:
        click.echo(f"left out: {slip}")


def learned_lines(learned: Learned) -> list[str]:
    """Return what is learned, a line for each instrument and printer."""
    from mounts.learning.words import instrument_lines, printer_line

    printers = [f"{name}, {printer_line(material, one)}" for name, materials in learned.printers.items()
                for material, one in materials.items()]  # fmt: skip
    return [*instrument_lines(learned), *printers]
