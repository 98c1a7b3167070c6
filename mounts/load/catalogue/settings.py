"""The person's settings: a small file in their own folder."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from mounts.errors import InputError, Problem
from mounts.lengths import Units
from mounts.load.catalogue.folders import is_folder

FILE = "settings.yaml"
PAPERS = ("a4", "letter")
KEYS = ("kind", "libraries", "paper", "units")


@dataclass(frozen=True, slots=True)
class Settings:
    """Settings of a person for all their work.

    Attributes:
        libraries: folders that count as if given with --library, below those that are.
        paper: paper to print on.
        units: in which lengths are shown; None for those in which each job is typed.
    """

    libraries: tuple[Path, ...] = ()
    paper: str = "a4"
    units: Units | None = None


def load_settings(own: Path) -> Settings:
    """Return the settings in a person's own folder; the defaults where there is none that may be entered.

    Raises:
        InputError: if the file does not parse, or holds what it cannot hold.
    """
    file = own / FILE
    if not is_folder(own) or not file.is_file():
        return Settings()

    from mounts.load.parse.document import read
    from mounts.load.parse.units import quote_value

    document = read(file)
    problems: list[Problem] = list(document.problems)
    data = document.data
    for key in data:
        if key not in KEYS:
            problems.append(
                document.problem((key,), f"unknown key {quote_value(key)}; keys here: {', '.join(KEYS)}", key=True)
            )
    if data.get("kind", "settings") != "settings":
        problems.append(document.problem(("kind",), f"kind is {quote_value(data['kind'])}; settings are needed here"))
    paper = data.get("paper", "a4")
    if paper not in PAPERS:
        problems.append(
            document.problem(("paper",), f"{quote_value(paper)} is not known here; give {' or '.join(PAPERS)}")
        )
    units = data.get("units")
    if units is not None and units not in [*Units]:
        problems.append(
            document.problem(("units",), f"{quote_value(units)} is not known here; give {' or '.join(Units)}")
        )
    given = data.get("libraries", [])
    libraries = given if isinstance(given, list) else [given]
    for number, one in enumerate(libraries):
        if not isinstance(one, str):
            trail = ("libraries", number) if isinstance(given, list) else ("libraries",)
            problems.append(document.problem(trail, f"{quote_value(one)} is no folder; give its path"))
    if problems:
        raise InputError(*problems)
    return Settings(tuple(own / Path(one).expanduser() for one in libraries), str(paper), units and Units(units))
