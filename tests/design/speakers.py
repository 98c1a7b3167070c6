"""A speaker of our own invention, with whatever a test wants otherwise."""

from typing import Any

from mounts.load.models.speaker import Speaker

WOOFER: dict[str, Any] = {
    "kind": "speaker",
    "name": "trial-130",
    "cutout": 116,
    "flange": {"diameter": 135, "thickness": 4.0},
    "holes": {"bolt_circle": {"diameter": 127, "count": 4, "first": "1:30"}, "diameter": 4.8},
    "depth": 56,
    "body": [{"depth": 0, "across": 115}, {"depth": 30, "across": 84}, {"depth": 40, "across": 78}],
    "terminals": {"at": "6:00", "reach": 50, "width": 30, "depth": [18, 34]},
    "front": {"height": 6, "travel": 5},
    "piston": 105,
}


def speaker(**other: Any) -> Speaker:
    """The speaker with other values; None takes a key away."""
    return Speaker.model_validate({key: value for key, value in {**WOOFER, **other}.items() if value is not None})
