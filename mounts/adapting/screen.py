"""A new job for another speaker in about twenty lines: its report, and what decides of the comparison."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from mounts.adapting.adapt import Adaptation
from mounts.adapting.draft import NoSleeve, Sleeve
from mounts.adapting.tables import SAME, bought_lines, new_drafts, size_rows
from mounts.findings.causes import causes, seen_findings
from mounts.findings.report import Report, Verdict
from mounts.findings.wording import value_with_limit
from mounts.write.screen import Done, next_step, summary, verdict_word
from mounts.write.text_shaping import plain_text

if TYPE_CHECKING:
    from rich.text import Text

SHOWN = 3  # of sizes, of what is bought and of what stays
GRAVEST = 2  # causes of a sleeve that are shown


def adaptation_screen(found: Adaptation, width: int, files: Mapping[str, Sequence[str]]) -> Text:
    """Return the new job's report in about twenty lines, with what decides of the comparison.

    Args:
        found: the two jobs.
        width: columns of the screen; 80 is enough.
        files: names of the files that were written, by folder.
    """
    new, drafts = found.report, new_drafts(found)
    jobs = f"{' and '.join(one.file.name for one in drafts)} in {drafts[0].file.parent}/"
    folders = [f"{len(own)} and report.json in {folder}/" for folder, own in files.items()]
    command = f"mounts build {new.job}"
    done = Done(
        files="; ".join((jobs, *folders)),
        next=(next_step(new, command) or "print papers.pdf at 100 %, hold its template against the panel",),
        cautions_in="the papers",
        lead=f"with {plain_text(found.speakers[1])}",
        said=tuple(_said(found)),
        every="what changes",
        causes=2,
        more_in="in report.json",
        tightest=0,
        before=found.old_report,
    )
    return summary(new, width, done)


def _said(found: Adaptation) -> Iterator[tuple[str, str]]:
    """Yield what decides of the comparison, each with the first word of its line."""
    kept = f"; kept from that job: {', '.join(found.chosen)}" if found.chosen else ""
    yield "before", f"{found.old_report.job} with {found.speakers[0]}: {verdict_word(found.old_report)}{kept}"
    reprinted = [side for side in found.sides if not side.serves]
    counts = ", ".join(
        f"{side.side or 'the part'} ({len(side.features)} of {side.count} features)" for side in reprinted
    )
    done = "cut" if found.new[0].job.make == "cut" else "print"
    yield "again", f"{done} {counts}" if counts else "nothing: the old part serves as it is"
    sizes = [f"{row[0]} {row[1]} → {row[2]}" for row in size_rows(reprinted, found.report.units)]
    bought = [] if found.serves else [line for line in bought_lines(found.sides) if line != SAME]
    for word, texts in (("changed", sizes), ("buy", bought), ("stays", found.stays)):
        more = [f"{len(texts) - SHOWN} more"] if len(texts) > SHOWN else []
        yield from [(word, "; ".join([*texts[:SHOWN], *more]))] if texts else []
    sleeve = "; ".join(_sleeve_words(found.sleeve, found.mount))
    yield from [("sleeve", sleeve)] if sleeve else []


def _sleeve_words(sleeve: Sleeve | NoSleeve | None, mount: str) -> Iterator[str]:
    """Yield the lines on a sleeve: how many, and each cause of its findings with what to do."""
    if isinstance(sleeve, NoSleeve):
        yield f"none into the old {mount}: {sleeve.why}"
    elif sleeve is not None:
        report = Report(sleeve.made.job.name, (sleeve.made.report,))
        found = causes(seen_findings(report), Verdict.FAIL, Verdict.WARN, Verdict.DO)
        yield f"{verdict_word(report)}, print {sleeve.count} for the old {mount}s, which stay where they are"
        for worst in [cause.worst.finding for cause in found][:GRAVEST]:
            yield f"{worst.verdict.word} {worst.what} {value_with_limit(worst, report.units)} → {worst.advice}"
        if len(found) > GRAVEST:
            yield f"{len(found) - GRAVEST} more in its report.json"
