"""`mounts build` with a kit's file: all its parts, with a bar that shows what is being done."""

from __future__ import annotations

import hashlib
import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

import click

from mounts.cli.following import CLEAR
from mounts.cli.options import screen

if TYPE_CHECKING:
    from rich.progress import Progress as Bar
    from rich.progress import TaskID

    from mounts.batch.crew import Crew
    from mounts.batch.run import Result
    from mounts.findings.kit import KitReport, KitRow
    from mounts.load.resolve.kit import Kit
    from mounts.write.output import Wish

PART_FAILED = 4  # exit code: part of a batch was not made
STOPPED = 130  # exit code: as a shell gives it
SHOW_CURSOR = "\x1b[?25h"  # which a bar hides


@dataclass(frozen=True)
class Hands:
    """Means of making a kit's parts: workers and their limits.

    Attributes:
        workers: processes on this machine; None for one a core.
        cluster: address of a scheduler; None to work here.
        trusted: whether whoever is on its network may be believed.
        seconds: time that one part may take, s.
        fresh: whether everything is made again.
    """

    workers: int | None
    cluster: str | None
    seconds: float
    fresh: bool
    trusted: bool = False


@contextmanager
def _bar(total: int) -> Iterator[Progress]:
    """Show a bar on a terminal, else a line for each part; on stderr either way."""
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        TextColumn,
        TimeElapsedColumn,
        TimeRemainingColumn,
    )
    from rich.progress import Progress as Bar

    console = Console(stderr=True, highlight=False)
    times = (TimeElapsedColumn(), TextColumn("left"), TimeRemainingColumn())
    columns = (BarColumn(30), MofNCompleteColumn(), *times, TextColumn("{task.description}", markup=False))
    bar = Bar(*columns, console=console, transient=True, disable=not console.is_terminal)
    with bar:
        yield Progress(bar, bar.add_task("the kernel is loaded", total=total or None), not console.is_terminal)


class Progress:
    """Display of progress while a kit is made."""

    def __init__(self, bar: Bar, task: TaskID, lines: bool) -> None:
        self._bar, self._task, self._lines = bar, task, lines

    def part(self, result: Result) -> None:
        """Show that one part is done."""
        name = ", ".join(filter(None, (result.job.name, result.job.part)))
        words = {"made": "made", "kept": "unchanged", "lost": "LOST"}[result.how]
        self._bar.update(self._task, advance=1, description=f"{name}: {words}")
        if self._lines:
            click.echo(f"{name}: {words}", err=True)

    def doing(self, what: str) -> None:
        """Show what is being done now."""
        self._bar.update(self._task, description=what)

    def note(self, text: str) -> None:
        """Print a note to the person."""
        click.echo(text, err=True)


@contextmanager
def _stop_key() -> Iterator[None]:
    """Say at the stop key that what is finished is kept, and end with all workers; where `main` lets the key end it."""
    from mounts.batch.crew import kill_workers

    def stop(number: int, frame: FrameType | None) -> None:
        shown = f"{SHOW_CURSOR}{CLEAR}" if sys.stderr.isatty() else ""
        try:
            os.write(2, f"{shown}what is finished is kept: run it again and it goes on from there\nstopped\n".encode())
            kill_workers()
        finally:
            os._exit(STOPPED)

    before = signal.getsignal(signal.SIGINT)
    if before is signal.SIG_DFL:
        signal.signal(signal.SIGINT, stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def build_kit(
    path: Path, library: tuple[Path, ...], out: Path, wish: Wish, hands: Hands, *, every: bool, as_json: bool
) -> int:
    """Make a kit and print what became of it; return the exit code."""
    from mounts.load.resolve.kit import load_kit
    from mounts.write.files import check_folder, safe_name

    kit = load_kit(path, library)
    folder = out / safe_name(kit.name)
    check_folder(folder)
    with _stop_key():
        report, papers = _made(kit, folder, wish, hands)
    _tell(report, papers, folder, every=every, as_json=as_json)
    if report.lost:
        return PART_FAILED
    return 1 if report.verdict == "fail" else 0


def _made(kit: Kit, folder: Path, wish: Wish, hands: Hands) -> tuple[KitReport, tuple[str, ...]]:
    """Return a kit's report, and the names of its papers."""
    from mounts.batch.kit import divide_kit, kit_rows, make_kit, papers_of
    from mounts.batch.layout import beds_of
    from mounts.batch.run import (
        Result,
        Shelf,
        Shop,
    )
    from mounts.findings.kit import KitReport
    from mounts.load.results.shelf import holds_files, old_beds, program_mark, shelf_folder
    from mounts.write.files import publish
    from mounts.write.kit import kit_json
    from mounts.write.output import PAPERS

    kit = divide_kit(kit)
    rows: dict[str, list[KitRow]] = {}
    done: list[Result] = []
    with _bar(len(kit.parts)) as progress, _crew(hands) as crew:
        shop = Shop(
            crew, Shelf(shelf_folder(program_mark()), progress.note, fresh=hands.fresh), program_mark(), hands.seconds
        )
        for event in make_kit(kit, folder, wish, shop):
            if isinstance(event, Result):
                progress.part(event)
                done += [event] if kit.every is None else []
            else:
                rows[event.name] = kit_rows(kit, event, folder)
        progress.doing("the beds are laid out")
        laid, files = beds_of(kit, done, shop)
        progress.doing("the papers are set")
        papers = papers_of(kit, done, (laid, files), wish, shop)
    order = dict.fromkeys([*(part.job.name for part in kit.parts), *rows])
    report = KitReport(kit.name, kit.vehicle, kit.vehicles, tuple(row for name in order for row in rows[name]), laid)
    files = {**files, **papers, "kit.json": kit_json(report).encode()}
    if not holds_files(folder, {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}):
        publish(folder, files, remove=[name for name in (*old_beds(folder, files), *PAPERS) if name not in files])
    return report, tuple(papers)


def _crew(hands: Hands) -> Crew:
    from mounts.batch.crew import Cluster, Workers, is_open

    if hands.cluster and is_open(hands.cluster) and not hands.trusted:
        raise click.UsageError(
            f"anyone who can reach {hands.cluster} can run programs on this machine and on the workers: "
            "give an address with tls://, or --trusted-network where the network is yours alone"
        )
    if hands.cluster:
        return Cluster(hands.cluster, 10.0)
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return Workers(hands.workers or cores, hands.seconds)


def _tell(report: KitReport, papers: tuple[str, ...], folder: Path, *, every: bool, as_json: bool) -> None:
    from mounts.write.kit import kit_json, kit_summary, kit_table
    from mounts.write.screen import Done

    if as_json:
        click.echo(kit_json(report), nl=False)
        return
    console, width = screen()
    if every:
        console.print(kit_table(report))
        console.print()
    steps = [f"print {folder / name} at 100 % and keep it on the bench while you fit the kit" for name in papers]
    if report.lost:
        steps.insert(0, "mend what is LOST and run it again: what is finished is kept and not made twice")
    files = f"in a folder for each job in {folder}/; kit.json there has all of it"
    console.print(kit_summary(report, width, Done(files, tuple(steps))))
