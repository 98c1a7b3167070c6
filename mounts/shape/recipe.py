"""A part as a list of named features, and the scene of real things that it must fit among."""

from __future__ import annotations

from dataclasses import dataclass

from mounts.geometry.frames import PANEL, Frame
from mounts.identity import Ident
from mounts.shape.primitives import Body


@dataclass(frozen=True, slots=True)
class Feature:
    """Named piece of a part, such as "pocket 3"; several bodies when it is one thing to a person, as a label is.

    Attributes:
        ident: what it is; its label appears in findings and in the STEP file.
        bodies: the primitives it consists of.
        cut: whether it takes material away.
    """

    ident: Ident
    bodies: tuple[Body, ...]
    cut: bool = False


@dataclass(frozen=True, slots=True)
class Recipe:
    """Part as the union of its added features less the union of its cut ones, in any order.

    Attributes:
        name: the part's name, ASCII.
        features: added and cut ones.
        genus: through holes of the finished part, which every kernel must find.
    """

    name: str
    features: tuple[Feature, ...]
    genus: int

    @property
    def added(self) -> tuple[Feature, ...]:
        """Features that add material."""
        return tuple(feature for feature in self.features if not feature.cut)


@dataclass(frozen=True, slots=True)
class Envelope:
    """Space that a real thing takes, with its movement.

    Attributes:
        ident: what it is.
        bodies: the primitives that enclose it.
    """

    ident: Ident
    bodies: tuple[Body, ...]


@dataclass(frozen=True, slots=True)
class Scene:
    """Recipe of a part among the envelopes of the things round it, all in the panel frame.

    Attributes:
        recipe: of the part.
        envelopes: what is round it, as far as it was measured.
        axis: frame of what the part carries: its z is the speaker's axis, its origin the seat's centre.
    """

    recipe: Recipe
    envelopes: tuple[Envelope, ...] = ()
    axis: Frame = PANEL
