"""A report in about twenty lines: the verdict, each cause once with what mends it, the tightest passes, the work by
hand, safety, what printing takes, the files, and the next command."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import TYPE_CHECKING

from mounts.findings.causes import Cause, Seen, causes, count_causes, seen_findings, tightest_passes
from mounts.findings.report import Estimate, Finding, Report, Verdict
from mounts.findings.wording import value_with_limit
from mounts.geometry.ties import decimals
from mounts.lengths import Units
from mounts.write.text_shaping import plain_text

if TYPE_CHECKING:
    from rich.text import Text

STYLES = {
    "FAIL": "bold red",
    "NOT OK": "bold red",
    "WARN": "bold yellow",
    "OK, BUT": "bold yellow",
    "NOT MEASURED": "bold magenta",
    "UNKNOWN": "bold magenta",
    "LOST": "bold red",
    "DO": "bold cyan",
    "pass": "green",
    "OK": "bold green",
}
WORD = 9  # columns of the first word of a line
TEXT_COLUMNS = 40  # columns that a text takes at least
CAUSES = 5  # that are shown
TIGHTEST = 3  # passes that are shown
OTHERS = 2  # further findings of a cause that are named
TOPICS = 2  # cautions that are named
SHORT = {  # of readings that their last word does not name
    "behind": "room behind",
    "in_front": "trim",
    "in_front.trim.opening": "trim's opening",
    "fixings.hole": "holes",
}


@dataclass(frozen=True, slots=True)
class Done:
    """Summary of what a command did with a report, and what comes next.

    Attributes:
        files: in words, what was written and where to look; empty where nothing was.
        next: the next command or step; more than one are lines of their own.
        cautions_in: where the cautions can be read, as "papers.pdf" or "--all shows them".
        lead: what stands first behind the verdict; empty where its counts say all.
        said: what else the command found, each with the first word of its line; stands below what was checked.
        table: lines of a table below that, as they are.
        every: what `--all` shows.
        causes: how many are shown.
        more_in: where further ones can be read.
        tightest: how many passes are shown.
        before: an earlier part's report, whose faults and tasks are only counted where they stay as they were.
    """

    files: str = ""
    next: tuple[str, ...] = ()
    cautions_in: str = "papers.pdf"
    lead: str = ""
    said: tuple[tuple[str, str], ...] = ()
    table: tuple[str, ...] = ()
    every: str = "every check"
    causes: int = CAUSES
    more_in: str = "--all shows them"
    tightest: int = TIGHTEST
    before: Report | None = None


def summary(report: Report, width: int, done: Done, *, brief: bool = True) -> Text:
    """Return the report in about twenty lines, no wider than the screen; colour only repeats what the words say.

    Args:
        report: report of one job.
        width: columns of the screen.
        done: what was written, and what comes next.
        brief: with the verdict and what was checked; else only what follows these, as below a table of every check.
    """
    from rich.text import Text

    page = Text()
    if brief:
        _checked(page, report, done, width)
        _said(page, done, width)
    _rest(page, report, done, width)
    page.rstrip()
    return page


def _checked(page: Text, report: Report, done: Done, width: int) -> None:
    """Append the verdict, the causes, the tightest passes and the work by hand."""
    seen = seen_findings(report)
    sides = tuple(dict.fromkeys(part.side for part in report.parts))
    missing = list(dict.fromkeys(path for part in report.parts for path in part.not_measured))
    new = _new(seen, done.before)
    faults, tasks = causes(new, Verdict.FAIL, Verdict.WARN), causes(new, Verdict.DO)
    every = causes(seen, Verdict.FAIL, Verdict.WARN), causes(seen, Verdict.DO)
    before = len(every[0]) + len(every[1]) - len(faults) - len(tasks)
    as_before = f"{before} of these as before" if before > 0 else ""
    said = (done.lead, _unread(missing), count_causes(*every), as_before)
    _headline(page, report, "; ".join(filter(None, said)), width)
    if faults or missing:
        page.append("\n")
    for cause in faults[: done.causes]:
        _cause(page, cause, sides, width, report.units)
    if len(faults) > done.causes:
        add_line(page, "", f"and {len(faults) - done.causes} more: {done.more_in}", width)
    if missing:
        add_line(page, "UNKNOWN", f"→ {_to_measure(missing)}", width)
    passed = sum(one.finding.verdict is Verdict.PASS for one in seen)
    tight = tightest_passes(seen, done.tightest)
    if tight or passed:
        page.append("\n")
    for number, one in enumerate(tight):
        add_line(
            page, "" if number else "tightest", _named(one, sides), width, value_with_limit(one.finding, report.units)
        )
    if passed:
        add_line(page, "", f"{passed} checks passed; --all shows {done.every}", width)
    if tasks:
        page.append("\n")
    for task in tasks:
        add_line(page, Verdict.DO.word, _task(task, sides), width)


def _new(seen: Sequence[Seen], before: Report | None) -> tuple[Seen, ...]:
    """Return what was found, without what does not pass and was found before."""
    known = [_said_of(one.finding) for one in seen_findings(before)] if before else []
    return tuple(one for one in seen if one.finding.verdict is Verdict.PASS or _said_of(one.finding) not in known)


def _said_of(finding: Finding) -> tuple[str, ...]:
    """Return what findings that say the same share."""
    return (finding.code, finding.verdict, finding.what, value_with_limit(finding))


def _said(page: Text, done: Done, width: int) -> None:
    """Append what else a command found."""
    if done.said or done.table:
        page.append("\n")
    for word, text in done.said:
        add_line(page, word, text, width)
    for line in done.table:
        page.append(f"{line}\n")


def _rest(page: Text, report: Report, done: Done, width: int) -> None:
    """Append safety, what printing takes, files and what comes next."""
    lines = [("safety", _safety(report, done)), ("print", _printing(report)), ("files", done.files)]
    lines += [("next" * (not number), text) for number, text in enumerate(done.next)]
    shown = [(word, text) for word, text in lines if text]
    if shown and page:
        page.append("\n")
    for word, text in shown:
        add_line(page, word, text, width)


def _unread(missing: Sequence[str]) -> str:
    """Return what was not measured, in words."""
    return f"not measured: {', '.join(dict.fromkeys(map(_short, missing)))}" if missing else ""


def _headline(page: Text, report: Report, said: str, width: int) -> None:
    """Append the job's name, the verdict, and what stands behind it."""
    if not any(part.findings for part in report.parts):
        said = "nothing was checked"
    add_headline(page, report.job, verdict_word(report), said, width)


def add_headline(page: Text, name: str, word: str, said: str, width: int) -> None:
    """Append a name, a verdict's word and what stands behind it, as the first line of a screen."""
    lead = f"{plain_text(name)}: "
    for line in wrap(f"{lead}{word}{': ' if said else ''}{said}", width, subsequent_indent="  "):
        page.append(f"{line}\n")
    page.stylize("bold", 0, len(lead) - 1)
    page.stylize(STYLES[word], len(lead), len(lead) + len(word))


def verdict_word(report: Report) -> str:
    """Return the verdict in a word or two, which never says OK of what was not measured."""
    if report.verdict is Verdict.FAIL:
        return "NOT OK"
    if any(part.not_measured or not part.findings for part in report.parts):
        return "UNKNOWN"
    return "OK, BUT" if report.verdict is Verdict.WARN else "OK"


def next_step(report: Report, command: str) -> str:
    """Return what to do before a command is run again; empty where nothing must be."""
    word = verdict_word(report)
    if word == "NOT OK":
        return f"change that, then: {command}"
    return f"measure that, then: {command}" if word == "UNKNOWN" else ""


def _cause(page: Text, cause: Cause, sides: tuple[str, ...], width: int, units: Units) -> None:
    """Append one cause: its worst finding, what else it does, and what mends it."""
    worst = cause.worst.finding
    add_line(page, worst.verdict.word, _named(cause.worst, sides), width, value_with_limit(worst, units))
    names = dict.fromkeys(plain_text(one.finding.what) for one in cause.others if one.finding.what != worst.what)
    if names:
        more = f" and {len(names) - OTHERS} more" if len(names) > OTHERS else ""
        add_line(page, "", f"also {'; '.join([*names][:OTHERS])}{more}", width)
    if worst.change:
        add_line(page, "", f"→ {worst.change}", width)
        add_line(page, "", worst.advice.replace(worst.change, "this"), width)
    elif worst.advice:
        add_line(page, "", f"→ {worst.advice}", width)


def _task(task: Cause, sides: tuple[str, ...]) -> str:
    """Return what to do by hand: the advice on a size that falls short, else what the finding itself asks for."""
    worst = task.worst.finding
    work = (
        worst.advice
        if worst.advice and worst.limit is not None
        else "; ".join(filter(None, (worst.what, worst.advice)))
    )
    return _named(task.worst, sides, work)


def _named(one: Seen, sides: tuple[str, ...], said: str = "") -> str:
    """Return what was looked at, or what is said of it, with its sides where it does not hold for all."""
    named = ", ".join(filter(None, one.sides))
    said = said or one.finding.what
    return f"{named}: {said}" if named and one.sides != sides else said


def _to_measure(missing: Sequence[str]) -> str:
    """Return what to measure and where to write it."""
    files: dict[str, list[str]] = {}
    for path in missing:
        file, _, key = path.partition(".")
        files.setdefault(file if key else "", []).append(key or path)
    return "measure and write " + ", and ".join(
        f"{', '.join(map(plain_text, keys))} into the {plain_text(file) or 'panel'}'s file"
        for file, keys in files.items()
    )


def _short(path: str) -> str:
    """Return a reading's path in a word or two: "glass" for panel.behind.glass."""
    key = path.partition(".")[2]
    return plain_text(SHORT.get(key) or key.rpartition(".")[2].replace("_", " ") or path)


def _safety(report: Report, done: Done) -> str:
    """Return what the cautions are about, and where to read them."""
    cautions = list(dict.fromkeys(text for part in report.parts for text in part.cautions))
    if not cautions:
        return ""
    topics = [text.partition(":")[0].lower() for text in cautions if text.find(":") in range(1, 30)]
    more = len(cautions) - len(topics[:TOPICS])
    about = ", ".join(topics[:TOPICS]) + (f" and {more} more" if more and topics else "")
    return f"read before you begin{f': {about}' if about else ''} ({done.cautions_in})"


def _printing(report: Report) -> str:
    """Return what printing takes, each side by itself where they differ."""
    taken: dict[str, list[str]] = {}
    for part in report.parts:
        if part.estimate is not None:
            taken.setdefault(estimate_words(part.estimate), []).append(part.side)
    if len(taken) == 1:
        (words, where), *_ = taken.items()
        return f"{words}{' each' if len(where) > 1 else ''}"
    return "; ".join(f"{', '.join(where)} {words}" for words, where in taken.items())


def estimate_words(estimate: Estimate) -> str:
    """Return an estimate in words: "about 79 g and 5.3 h, 4.10 in money"."""
    hours = f"{decimals(estimate.hours, 1)} h" if estimate.hours >= 1 else f"{60 * estimate.hours:.0f} min"
    money = "" if estimate.cost is None else f", {estimate.cost:.2f} in money"
    return f"about {estimate.grams:.0f} g and {hours}{money}"


def add_line(page: Text, word: str, text: str, width: int, value: str = "") -> None:
    """Append a text beside the first word of its line, wrapped, its value at the right of the first line it fits on."""
    room = max(width - WORD, TEXT_COLUMNS)
    whole = f"{plain_text(text)}: {value}" if value else plain_text(text)
    for number, line in enumerate(_wrapped(whole, room)):
        page.append(f"{'' if number else word:{WORD}}", STYLES.get(word, "dim") if not number else "")
        page.append(f"{'  ' if number and text.startswith('→') else ''}{line}\n")


def _wrapped(text: str, room: int) -> Iterator[str]:
    lines = wrap(text, room - (2 if text.startswith("→") else 0), break_on_hyphens=False)
    yield from lines or [""]
