"""Reports on the screen, and the exit codes that they mean."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.console import Console

    from mounts.findings.report import Report
    from mounts.write.screen import Done

WIDEST = 120  # columns that a person reads at once


def screen() -> tuple[Console, int]:
    """Return the terminal and how many columns of it to use; it has colour only where the terminal has."""
    from rich.console import Console

    console = Console(highlight=False)
    return console, min(console.width, WIDEST)


def show(report: Report, done: Done, *, as_json: bool, every: bool = False, pictures: bool = False) -> None:
    """Print a report: in about twenty lines, with every check, or as one JSON document and nothing else.

    Args:
        report: of one job.
        done: what was written, and what comes next.
        as_json: as one JSON document.
        every: with every check.
        pictures: whether there are pictures, with marks that can be named.
    """
    if as_json:
        from mounts.write.report import report_json

        click.echo(report_json(report), nl=False)
        return
    from mounts.write.screen import summary

    console, width = screen()
    if every:
        from mounts.write.screen_all import report_table

        console.print(report_table(report, width, pictures=pictures))
        console.print()
    console.print(summary(report, width, done, brief=not every))


def exit_code(report: Report) -> int:
    """Return 1 when something breaks a limit, else 0."""
    return 1 if report.verdict == "fail" else 0
