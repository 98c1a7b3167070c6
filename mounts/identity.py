"""Identities of things: what the program looks at is their id and their role, what people read is their label."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import count


class Role(StrEnum):
    """Role of a thing, as far as anything is decided by it. Its value begins the ids of such things."""

    # of a mount, material and what is cut into it
    PART = "part"
    PIECE = "piece"  # material of which nothing is decided
    BASE = "base"
    TOWER = "tower"
    PLATE = "plate"
    HUB = "hub"
    SLEEVE = "sleeve"
    BOSS = "lap-boss"
    STOP = "stop"
    FOOT = "foot"
    CUT = "cut"  # a cut of which nothing is decided
    BORE = "bore"
    HOLE = "hole"
    SCREW = "speaker-screw"
    NUT = "nut"
    INSERT = "insert"
    PATH = "tool-path"
    RECESS = "recess"
    STEP = "step"
    GROOVE = "groove"
    RELIEF = "relief"
    WELL = "well"
    PASSAGE = "passage"
    LAP = "lap"
    LAP_SCREW = "lap-screw"
    LABEL = "label"
    # sides of a mount, and what lies on it
    BACK = "back"
    FACE = "face"
    OUTSIDE = "outside"
    EDGE = "edge"
    WASHER = "washer"
    # the real things round it
    SPEAKER = "speaker"
    BODY = "body"
    FLANGE = "flange"
    FRONT = "front"
    CONE = "cone"
    TERMINAL = "terminal"
    DEVICE = "device"
    SPEAKER_HEAD = "speaker-head"
    HEAD = "screw-head"
    HARDWARE = "hardware"
    TOOL = "tool"
    WAY = "way"
    SHEET = "sheet"
    BEAD = "bead"
    TRIM = "trim"
    GRILLE = "grille"
    GLASS = "glass"
    THING = "thing"
    FLOOR = "floor"
    END = "end"
    OVER = "over"
    LIMIT = "limit"  # no body: an axis, an ear, the speaker that was there, a printer's bed

    @property
    def words(self) -> str:
        """Its value as a person reads it."""
        return self.value.replace("-", " ")


@dataclass(frozen=True, slots=True)
class Ident:
    """The identity of one thing; its string is its label, so that a text may hold it as it is.

    Attributes:
        role: what it is.
        name: which of its role, unique within its part; empty for the only one.
        label: for people; the role's words and the name where it is not given.
    """

    role: Role
    name: str = ""
    label: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        """Complete the label."""
        if not self.label:
            object.__setattr__(self, "label", f"{self.role.words} {self.name}".strip())

    def __str__(self) -> str:
        """Return the label."""
        return self.label

    @property
    def id(self) -> str:
        """Its role and its name, such as "hole.A"."""
        return f"{self.role.value}.{self.name}" if self.name else self.role.value


Pair = tuple[Ident, Ident]


def called(role: Role, label: str) -> Ident:
    """Return the identity of a thing of our own that is named as it is called."""
    return Ident(role, label, label)


MOUNT = Ident(Role.PART, "", "mount")
CUP = Ident(Role.PART, "", "cup")
UNNAMED = Ident(Role.PART)
BASE, TOWER, PLATE, HUB, SLEEVE = (Ident(role) for role in (Role.BASE, Role.TOWER, Role.PLATE, Role.HUB, Role.SLEEVE))
BORE, LAP = Ident(Role.BORE), Ident(Role.LAP)
FLANGE_ROOM, GASKET_BED = Ident(Role.CUT, "flange", "flange room"), Ident(Role.CUT, "gasket", "gasket bed")
GASKET_GROOVE, BEAD_ROOM = Ident(Role.GROOVE, "gasket", "gasket groove"), Ident(Role.GROOVE, "bead", "bead room")
BACK, FACE, OUTSIDE, EDGE = (Ident(role) for role in (Role.BACK, Role.FACE, Role.OUTSIDE, Role.EDGE))
BODY, FLANGE, SURROUND = Ident(Role.BODY), Ident(Role.FLANGE), called(Role.FRONT, "surround")
SPEAKER, TERMINALS = Ident(Role.SPEAKER), Ident(Role.TERMINAL, "", "terminals")
CONE, DOME = Ident(Role.CONE, "", "cone at full travel"), Ident(Role.CONE, "", "dome at full travel")
SPEAKER_HEADS = Ident(Role.SPEAKER_HEAD, "", "speaker screws")
OPENING, PANEL_SHEET = called(Role.SHEET, "opening"), called(Role.SHEET, "panel")
BEAD, TRIM, GRILLE, GLASS = (Ident(role) for role in (Role.BEAD, Role.TRIM, Role.GRILLE, Role.GLASS))
DEVICE = Ident(Role.DEVICE)
FLOOR = Ident(Role.FLOOR, "", "floor lining")
TWEETER, REAR_FACE = Ident(Role.BODY, "tweeter", "tweeter"), Ident(Role.SHEET, "rear", "rear face")
ROOM_END = Ident(Role.END, "room", "room's end")
SPEAKER_WAY, TRIM_WAY = (
    Ident(Role.WAY, "speaker", "speaker on its way in"),
    Ident(Role.WAY, "trim", "trim on its way in"),
)
FIXED = (
    MOUNT, CUP, BASE, TOWER, PLATE, HUB, SLEEVE, BORE, BACK, FACE, OUTSIDE, EDGE, BODY, FLANGE, SURROUND, SPEAKER,
    TERMINALS, CONE, DOME, SPEAKER_HEADS, OPENING, PANEL_SHEET, BEAD, TRIM, GRILLE, GLASS, DEVICE, FLOOR,
    TWEETER, REAR_FACE, ROOM_END, SPEAKER_WAY, TRIM_WAY,
)  # fmt: skip


def read_ident(text: str, label: str) -> Ident:
    """Return the identity with this id; raises ValueError where its role is none."""
    role, _, name = text.partition(".")
    return Ident(Role(role), name, label)


def ident_trees(idents: Iterable[Ident]) -> list[dict[str, str]]:
    """Return ids and labels of some things for a JSON document."""
    return [{"id": one.id, "label": one.label} for one in idents]


def distinct(labels: Sequence[str], taken: Iterable[str] = ()) -> tuple[str, ...]:
    """Return labels of which no two are alike and none is taken: those that repeat get a number each, from 1.

    A label that repeats only what is taken is numbered from 2.

    >>> distinct(["bracket", "rail", "bracket", "glass"], taken=["glass"])
    ('bracket 1', 'rail', 'bracket 2', 'glass 2')
    """
    reserved = frozenset(taken)
    repeated = {label for label, number in Counter(labels).items() if number > 1 or label in reserved}
    used, found = reserved | (set(labels) - repeated), []
    for label in labels:
        numbered = (f"{label} {number}" for number in count(2 if label in reserved else 1))
        chosen = next(text for text in numbered if text not in used) if label in repeated else label
        used |= {chosen}
        found.append(chosen)
    return tuple(found)


def thing_idents(words: Sequence[str]) -> tuple[Ident, ...]:
    """Return the identities of things that a person named, in their order; one without a name is called "thing"."""
    labels = distinct([word.strip() or Role.THING.words for word in words], (one.label for one in FIXED))
    return tuple(Ident(Role.THING, str(number), label) for number, label in enumerate(labels, start=1))
