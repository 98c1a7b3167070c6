"""Identities by their labels, for tests that draw parts of their own or say what a finding lies between."""

from __future__ import annotations

from collections.abc import Iterable

from mounts.identity import (
    BEAD_ROOM,
    FIXED,
    FLANGE_ROOM,
    GASKET_BED,
    GASKET_GROOVE,
    REAR_FACE,
    ROOM_END,
    Ident,
    Pair,
    Role,
    called,
)

KNOWN = {one.label: one for one in (*FIXED, BEAD_ROOM, FLANGE_ROOM, GASKET_BED, GASKET_GROOVE, REAR_FACE, ROOM_END)}


def ident(label: str) -> Ident:
    """Return the identity of our own that bears a label; of a word that is none, a piece of that name."""
    if label in KNOWN:
        return KNOWN[label]
    for role in sorted(Role, key=lambda one: -len(one)):
        if label == role.words or label.startswith(f"{role.words} "):
            return Ident(role, label[len(role.words) + 1 :], label)
    return called(Role.PIECE, label)


def pair(one: str, other: str) -> Pair:
    """Return two identities by their labels."""
    return ident(one), ident(other)


def labels(idents: Iterable[Ident] | None) -> tuple[str, ...]:
    """Return the labels of some identities."""
    return tuple(one.label for one in idents or ())
