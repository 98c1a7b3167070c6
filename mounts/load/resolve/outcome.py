"""Outcomes from their files: the answers to be filled in, what a workshop keeps, and what it has learned."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from textwrap import wrap
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from mounts.errors import InputError, Problem
from mounts.load.catalogue.folders import short_path, yaml_files
from mounts.load.editing.template import format_scalar
from mounts.load.models.outcome import AnswersFile, Learned, Outcome
from mounts.load.parse.document import Document, parse, read
from mounts.load.parse.messages import validation_problems

OUTCOMES = "outcomes"  # folder of a library
ModelT = TypeVar("ModelT", bound=BaseModel)
Asked = tuple[Sequence[str], Mapping[str, str], Mapping[str, str]]  # holes, gaps, sizes
COLUMN, WIDE = 40, 100
QUESTIONS = {
    "went_on": "1. Did it go on? yes, tight (with force), filed (after filing), or no",
    "tightest": "2. Which hole is tightest, also where all went in, and how far does its screw stand from the hole's "
    "middle, the mount pushed as well as it goes? As {hole: C, off: 0.4}",
    "gaps": "3. Gaps as they are on the vehicle, those that came out as planned too",
    "sizes": "4. Sizes of the print, cold, by caliper",
    "notes": "5. Anything else to remember?",
}


def load_answers(path: Path, text: str | None = None) -> tuple[AnswersFile, Document]:
    """Load the answers in a file, or in a text that stands for one; keys without a value are not answered."""
    document = read(path, unfilled=True) if text is None else parse(text, path, unfilled=True)
    return _validated(AnswersFile, document), document


def load_outcomes(root: Path) -> tuple[Outcome, ...]:
    """Load every outcome that the workshop of a library keeps."""
    folder = root / OUTCOMES
    return tuple(_validated(Outcome, read(folder / name)) for name in yaml_files(folder))


def load_learned(files: Iterable[Path]) -> Learned | None:
    """Load what a workshop has learned; None where there is no such file."""
    for file in files:
        try:
            return _validated(Learned, read(short_path(file)))
        except InputError as error:
            what = "; delete this file, and the next mounts outcome writes it again"
            raise InputError(Problem(f"{error.problems[0].what}{what}", file=short_path(file))) from error
    return None


def _validated(model: type[ModelT], document: Document) -> ModelT:
    try:
        found = model.model_validate(document.data)
    except ValidationError as error:
        raise InputError(*document.problems, *validation_problems(error, model, document, document.problems)) from error
    if document.problems:
        raise InputError(*document.problems)
    return found


def blank_answers(job: str, record: str, parts: Mapping[str, Asked]) -> str:
    """Return the text of a file to answer in.

    Args:
        job, record: of the build that was fitted.
        parts: by part the names of its holes, and its gaps and sizes with what was planned, in words.
    """
    lines = [
        f"# What became of {job}. Leave empty what you did not look at. Then:",
        f"# mounts outcome {job} --answers THIS-FILE",
        "kind: outcome",
        f"job: {format_scalar(job)}",
        f"record: {format_scalar(record)}".ljust(COLUMN) + " # the build that was fitted; do not change it",
        "by:",
        "on:",
        "parts:",
    ]
    for part, (holes, gaps, sizes) in parts.items():
        lines += [f"  {part}:", *_question("went_on")]
        if holes:
            lines += _question("tightest", f"; holes: {', '.join(holes)}")
        for key, asked in (("gaps", gaps), ("sizes", sizes)):
            if asked:
                lines += _question(key)
                lines += [
                    f"      {format_scalar(what)}:".ljust(COLUMN) + f" # {value}" for what, value in asked.items()
                ]
        lines += _question("notes")
    return "\n".join(lines) + "\n"


def _question(key: str, more: str = "") -> list[str]:
    return [*(f"    # {line}" for line in wrap(QUESTIONS[key] + more, WIDE)), f"    {key}:"]
