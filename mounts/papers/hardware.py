"""Hardware list for the bench: bought parts by their sizes and numbers, strips by their length, tools."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from mounts.checks.fastening.joints import PlacedJoint, choose_length, choose_washers
from mounts.design.fasteners import thread_diameter
from mounts.lengths import Units
from mounts.load.models.fastener import Fastener
from mounts.load.models.hardware import Screw
from mounts.load.models.job import SpeakerFixing
from mounts.made import Made
from mounts.papers.values import ListItem

MORE = 10.0  # mm of a strip for its joint
# hexagon socket keys: ISO 7380-1 and -2, ISO 10642 (columns s); ISO 4762 one size up
KEYS = {"M3": "2", "M4": "2.5", "M5": "3", "M6": "4", "M8": "5"}
SOCKET_KEYS = {"M3": "2.5", "M4": "3", "M5": "4", "M6": "5", "M8": "6"}
# cross recess of pan heads, ISO 7045
CROSSES = ((3.0, "1"), (5.0, "2"), (6.0, "3"))


def hardware(made: Made) -> tuple[ListItem, ...]:
    """Return everything bought that one part takes."""
    return tuple(made.kind.review().papers.hardware(made.job, made.plan))


def tools(made: Made) -> tuple[str, ...]:
    """Return every tool for one part, once."""
    own = made.kind.review().papers.tools(made.job)
    return tuple(dict.fromkeys(("caliper with a depth rod, steel rule, pencil, scissors", *own)))


def sum_items(items: Iterable[ListItem]) -> tuple[ListItem, ...]:
    """Return the equal items put together, in the order in which they first come."""
    counts: Counter[ListItem] = Counter()
    for item in items:
        counts[replace(item, count=0.0)] += item.count  # type: ignore[assignment]
    return tuple(replace(item, count=count) for item, count in counts.items())


def bought_items(items: Iterable[ListItem]) -> Counter[str]:
    """Return how many of each part of the library, by its name."""
    found: Counter[str] = Counter()
    for item in items:
        if item.key:
            found[item.key] += round(item.count)
    return found


def screws(
    joints: Sequence[PlacedJoint], screw: Screw | None, count: int, use: str, units: Units
) -> Iterator[ListItem]:
    """Yield the screws by length; without joints, of unknown length."""
    if screw is None:
        return
    what = f"{screw.head} head screw"
    if not joints:
        yield ListItem(
            count, what, f"{screw.thread}, length by the sheet's thickness, which was not measured", use, screw.name
        )
        return
    for (length, washers), many in Counter(_sold(one, screw, units) for one in joints).items():
        if length is None:
            least = max(one.joint.least for one in joints)
            size, key = (
                f"{screw.thread}, at least {units(least, 1)} long: none is sold",
                f"{screw.name}, no length that is sold",
            )
        else:
            size, key = f"{screw.thread} × {length:g}", f"{screw.name} × {length:g}"
        yield ListItem(many, what, ", ".join(filter(None, (size, screw.standard))), use, key)
        if washers:
            sets = f"{screw.thread}, {washers}"
            yield ListItem(many, "sets of washers", sets, f"under each head, {use}", f"sets of washers {sets}")


def _sold(held: PlacedJoint, screw: Screw, units: Units) -> tuple[float | None, str]:
    """Return the length to buy for a joint, None where none fits, and the washers under its head, which may be none."""
    length = choose_length(held, screw)
    return (length, "") if length is not None else choose_washers(held, screw, units) or (None, "")


def fixing(item: Fastener, count: int, use: str) -> Iterator[ListItem]:
    """Yield what screws go into, where it is bought."""
    if item.bought:
        yield ListItem(count, item.called, item.drawer, use, item.name)


def strip(length: float, size: tuple[float, float], use: str, units: Units) -> ListItem:
    """Return the foam of a length, thickness and width, with a little more for its joint."""
    words = f"{units(size[0])} thick × {units(size[1])} wide, one side sticky"
    return ListItem(length + MORE, "closed-cell foam strip", words, use, strip=True, units=units)


def cable(pads: int) -> Iterator[ListItem]:
    """Yield what a speaker's cable takes."""
    yield ListItem(
        2, "insulated push-on terminals", "to fit the speaker's tags and the cable", "speaker's cable", holds=False
    )
    yield ListItem(pads, "adhesive pads with cable ties", "small", "cable kept off glass, rails and edges", holds=False)


def driver_for(screw: Screw) -> str:
    """Return what turns a screw."""
    key = (SOCKET_KEYS if screw.head == "socket" else KEYS).get(screw.thread)
    if key and screw.head != "pan" and screw.drive == "hexagon":
        return f"hexagon key {key}"
    size = next((cross for upto, cross in CROSSES if thread_diameter(screw.thread) <= upto), "3")
    return f"cross-head screwdriver no. {size}"


def setting(fix: SpeakerFixing | None) -> Iterator[str]:
    """Yield what drives a screw, and sets the insert that it goes into."""
    if fix is not None and fix.screw is not None:
        yield driver_for(fix.screw)
    if fix is not None and fix.hardware.tool:
        yield fix.hardware.tool
