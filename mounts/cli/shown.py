"""Reports on the screen, and the exit codes that they mean."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from mounts.findings.report import Report


def show(report: Report, *, as_json: bool, pictures: bool = False) -> None:
    """The report as a table, or as one JSON document and nothing else."""
    if as_json:
        from mounts.write.report import report_json  # noqa: PLC0415

        click.echo(report_json(report), nl=False)
        return
    from rich.console import Console  # noqa: PLC0415

    from mounts.write.screen import report_table  # noqa: PLC0415

    console = Console(highlight=False)
    console.print(report_table(report, min(console.width, 100), pictures=pictures))


def exit_code(report: Report) -> int:
    """1 when something breaks a limit, else 0."""
    return 1 if report.verdict == "fail" else 0
