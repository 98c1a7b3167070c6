"""A port: the opening in a panel, the body of a device that goes into it, or both, as a standard or a caliper says."""

from typing import Literal, Self

from pydantic import Field, model_validator

from mounts.load.models.base import Amount, Frozen, Name, Size, Text
from mounts.load.models.outline import OutlineSpec


class Port(Frozen):
    """What is known of a port: an opening, a body, or both. Origin at the opening's or the body's centre."""

    kind: Literal["port"]
    name: Name = Field(description="the file's own name")
    about: Text = Field(default="", description="what it is, in a few words")
    source: Text = Field(default="", description="where the figures come from")
    confidence: Text = Field(default="", description="how well the figures are known")
    opening: OutlineSpec | None = Field(default=None, description="the hole in the panel, such as {round: 29.2}")
    depth: Size | None = Field(default=None, description="free depth of the opening, from the panel's front")
    panel: Size | None = Field(default=None, description="thickness of the panel round the opening")
    body: OutlineSpec | None = Field(default=None, description="the device's outside, such as {round: 22.4}")
    length: Size | None = Field(default=None, description="of the body")
    cable: Size | None = Field(default=None, description="diameter of the cable behind the body")
    plug_force: Amount | None = Field(default=None, description="force of plugging in, N")
    pull_force: Amount | None = Field(default=None, description="force of pulling out, N")
    force_source: Text = Field(default="", description="where the forces come from")

    @model_validator(mode="after")
    def _something(self) -> Self:
        if self.opening is None and self.body is None:
            raise ValueError("neither opening nor body is given; give one of them, such as body: {round: 22.4}")
        return self
