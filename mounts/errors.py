"""The three kinds of trouble that stop a run; a poor design is none of them but a finding in the report."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


class MountsError(Exception):
    """Base of every error that reaches the user as text; `exit_code` is what the command line returns."""

    exit_code = 3


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong with the input.

    Attributes:
        what: what was given and what is needed, in one sentence.
        where: path of the value inside its file, such as `fixings.at.A`; empty for the file itself.
        file: the file that holds it, or None for the command line.
        line: 1-based line, 0 when no line applies.
        column: 1-based column, 0 when no column applies.
    """

    what: str
    where: str = ""
    file: Path | None = None
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        place = [str(self.file)] if self.file else []
        if self.line:
            place += [str(self.line), str(self.column)]
        head = ":".join(place)
        return " ".join(part for part in (head, f"{self.where}:" if self.where else "", self.what) if part)


class InputError(MountsError):
    """Error in what the person wrote, wrong or contradictory; carries every problem found, not just the first."""

    exit_code = 2

    def __init__(self, *problems: Problem) -> None:
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems = problems


class KernelError(MountsError):
    """A geometry kernel failed or two kernels disagree; the text names part, step and values."""


class FileError(MountsError):
    """Files cannot be written where they are wanted; nothing half-written is left behind."""

    exit_code = 2
