"""Codes of findings, each declared once: what it says, its group, its sense, its unit, and its place in a report.

The order of ROWS is that in which reprints happen, and so the order in which a report gives its findings. The table in
DEVELOPERS.md is written from here (`python -m tests.codes_table`). Codes are stable; a report's reader relies on them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Group(StrEnum):
    """Subject of a finding."""

    FIT = "fit"  # it goes on, goes in and touches nothing
    HOLD = "hold"  # it bears what pulls, presses and warms it
    SEAL = "seal"
    AIM = "aim"  # where the speaker looks, and what is heard of it
    PRINT = "print"
    PROOF = "proof"  # the finished part, or a reading, against what was planned or read
    HANDWORK = "handwork"


class Sense(StrEnum):
    """Relation of a finding's limit to its value."""

    LEAST = "least"
    MOST = "most"
    TARGET = "target"


@dataclass(frozen=True, slots=True)
class Row:
    """Declaration of one or more codes of findings that say the same.

    Attributes:
        names: of the codes, such as "clear.glass", with spaces between them.
        says: what a finding of these codes says.
        group: what it is about.
        senses: what its limit may be; none where it has no limit, two where the value lies between two limits.
        unit: of its values; "" where it differs from finding to finding.
    """

    names: str
    says: str
    group: Group
    senses: tuple[Sense, ...] = (Sense.LEAST,)
    unit: str = "mm"


LEAST, MOST, TARGET = ((sense,) for sense in Sense)
BAND = (Sense.LEAST, Sense.MOST)
FREE: tuple[Sense, ...] = ()
FIT, HOLD, SEAL, AIM, PRINT, PROOF, HANDWORK = Group

ROWS = (
    # a part that is not there, or of which it is not known where it stands, has no other findings
    Row("made", "that a part of a kit was not made, and why", PROOF, FREE, "1"),
    Row("placed", "how a mesh that was drawn elsewhere stands on the panel, or why it fits nowhere", PROOF, LEAST, ""),
    # where it looks, since all else follows from that
    Row(
        "aim.limit",
        "what holds a chosen pose, and what one more of it would buy; what is missed where nothing fits",
        AIM,
        LEAST,
        "",
    ),
    Row(
        "aim.ear",
        "speaker axis to the listener's ears, against where half the pressure is lost at the top of what it plays",
        AIM,
        MOST,
        "deg",
    ),
    # the trim closes
    Row(
        "clear.trim clear.grille",
        "flange, front, screw heads and the mount's own edge to trim and grille; the cone at full travel to the grille",
        FIT,
    ),
    Row("way.trim", "the trim on its way over the mount (`goes_on`)", FIT),
    # the window winds down
    Row("clear.glass clear.thing", "body and terminals to the window glass and to things behind", FIT),
    Row("clear.room clear.standing", "tweeter, cup and heads to the room's end; plate to ribs and stops", FIT),
    Row("clear.terminals", "terminals through the opening", FIT),
    Row("clear.floor", "the board, bent by a shock, down to the floor", FIT),
    Row(
        "proven.depth proven.front",
        "against the speaker that was there, where glass or trim was not measured",
        FIT,
        MOST,
    ),
    # how sure all that is
    Row(
        "chance.fixings",
        "that all screws go in at once, as planned and as the mesh shows the holes; what helps, or what to read again",
        FIT,
        LEAST,
        "%",
    ),
    Row(
        "chance.clear chance.mount",
        "that a thing that was read is not touched; that it goes on and clears all of them; the reading to repeat",
        FIT,
        LEAST,
        "%",
    ),
    Row("fit.pins", "chance that all pins of a cup go in at once", FIT, LEAST, "%"),
    # it goes on, the speaker goes in, on the right side
    Row(
        "pattern.readings",
        "readings of a surveyed pattern against each other, in standard deviations",
        PROOF,
        MOST,
        "sd",
    ),
    Row("pattern.other-side", "readings taken on the other side against the pattern used there", PROOF, MOST),
    Row("panel.hole", "the panel's holes against what the hardware needs", HANDWORK),
    Row(
        "panel.hole-wide",
        "a panel's hole read wider than the hardware holds in",
        HANDWORK,
        MOST,
    ),
    Row("panel.grip", "the panel's sheet against what the hardware grips", FIT, BAND),
    Row("hole.position hole.place", "every hole's place read back from mesh and solid", PROOF, MOST),
    Row("hole.diameter", "every hole's diameter read back from mesh and solid", PROOF, TARGET),
    Row("hole.lost", "a hole that the mesh does not show", PROOF, FREE),
    Row("clear.body-opening clear.body-bore", "the body through the opening and the ring's own bore", FIT),
    Row("way.speaker", "the body through the bore as it is put in", FIT),
    Row("way.tweeter", "the tweeter into its cup, and through the grille's opening in and out", FIT),
    Row("hand", "whose side's pattern of holes it is", PROOF, MOST),
    # flat, true, and within reach
    Row("base.flat base.rocks", "the underside read back: flat, bearing at every fixing", PROOF, TARGET),
    Row("recess.depth", "the underside read back: deep enough for the hardware", PROOF, TARGET),
    Row("clear.hardware clear.bead", "the mount over what stands on the face: rivet-nut flanges, a raised bead", FIT),
    Row("seat.flat seat.height", "the seat read back: flat, and as high as planned", PROOF, TARGET),
    Row("seat.tilt seat.toward", "the seat read back: its tilt and where it leans to", PROOF, TARGET, "deg"),
    Row("seat.lost", "a seat that the mesh does not show", PROOF, FREE),
    Row("shrink", "what the plastic shrinks by between the fixings that are furthest apart", PRINT, MOST),
    Row(
        "access.panel-screws access.speaker-screws access.lap-screws",
        "what a straight tool to every screw would take of the mount",
        FIT,
        MOST,
        "mm³",
    ),
    Row("access.device-screws access.foot-screws", "a straight tool past every device; proud heads beside them", FIT),
    Row("fit.halves", "the gap between the halves of a ring in two", FIT),
    # a device's own sleeve
    Row("clear.behind clear.plug clear.cable", "room behind, for the plug, for the cable", FIT),
    Row("clear.plugs clear.board-edge", "plugs to other devices; devices within the board", FIT),
    Row("slit.closes", "whether a slit closes enough for the bump to pass the panel's edge", FIT),
    Row("fit.panel.play fit.device.play", "at the loosest: a press still grips, other fits do not rattle", FIT, MOST),
    Row("fit.panel.grip fit.device.grip", "at the tightest: the wall goes in as its word says", FIT),
    Row("fit.growth", "whether the printer's holes are known in this material", PRINT, FREE),
    Row("fit.lip", "foam under old lugs or lip, where a sleeve's lip is thinner than what they held", HANDWORK, MOST),
    Row("size.sleeve size.lip size.bore", "sizes read back off the mesh, or that it shows none", PROOF, TARGET),
    Row(
        "hold.plug.device hold.plug.panel",
        "device in sleeve and sleeve in panel against the plug's force: what holds, or the stress in stop or lip",
        HOLD,
        BAND,
        "",
    ),
    Row("hold.pull.device hold.pull.panel", "the same against being pulled out", HOLD, LEAST, "N"),
    Row("hold.push-in", "whether it goes in by hand", FIT, MOST, "N"),
    Row("hold.bezel hold.bump", "bezel on the front; bump behind the edge", HOLD),
    Row("strain.panel strain.device", "the press in the wall, for years and once", HOLD, MOST, "%"),
    Row("strain.cable strain.bump", "sprung over a cable, snapped behind the panel", HOLD, MOST, "%"),
    # a board's devices and cables
    Row("air.between air.above", "the air that a device's maker asks for, to its neighbours and to what is above", FIT),
    Row("passage.edge", "edges that cables lie on", HANDWORK),
    Row("wrap.fold", "feet on folded carpet", HANDWORK),
    # a cup's heads, and what holds its tweeter
    Row("stake.volume stake.head", "what protrudes against the head that it has to fill", HOLD, BAND, "1"),
    Row("stake.bears stake.iron", "head beyond its hole; tip in its well", HOLD),
    Row("stake.cut", "a pin to be cut first", HANDWORK, MOST),
    Row("press.strain press.cold", "what the plastic bears for years, and once at −20 °C", HOLD, MOST, "%"),
    Row("press.hoop", "hoop stress that the press leaves for years", HOLD, MOST, "MPa"),
    Row("press.in", "pushing in", FIT, MOST, "N"),
    Row("press.out", "what holds against pulling out: left cold, hot and relaxed", HOLD, FREE, "N"),
    Row("press.snap", "past lip or lugs", HOLD, MOST, "%"),
    Row("press.keep", "what lip or lugs hold; of a sleeve in an old cup, the old ones", HOLD, LEAST, "N"),
    # screws and what pulls at them
    Row(
        "screw.panel screw.speaker screw.lap screw.device screw.foot screw.bottom",
        "length, thread engaged, room at the pocket's end",
        HOLD,
    ),
    Row("screw.behind screw.below", "points behind the sheet; ends over the floor lining", FIT),
    Row("screw.ear", "heads on a device's ears", HOLD, BAND),
    Row("screw.washer screw.head screw.washer-room", "what bears on what, and the room beside it", HOLD),
    Row("screw.torque", "how tight the panel screws go, against what a slam needs", HOLD, LEAST, "N·m"),
    Row("load.bearing", "pressure under heads", HOLD, MOST, "MPa"),
    Row("load.panel-screws load.speaker-screws", "a slammed door on screws", HOLD, MOST, "N"),
    Row("load.ring", "a slammed door on ring and tower", HOLD, MOST, "MPa"),
    Row("load.lap", "of a ring in two: a slam on lap screws and tongues", HOLD, MOST, ""),
    Row("load.pin", "a slammed door on the pins of a cup", HOLD, MOST, "MPa"),
    Row("load.plate load.screw", "what a cup's plate and its flange's screws bear of it", HOLD, LEAST, "N"),
    Row("load.device-screws load.foot-screws", "a shock at the floor on screws", HOLD, MOST, "N"),
    Row("load.glue", "the same on the feet's glue", HOLD, MOST, "1"),
    Row("load.foot load.board", "the same on the feet's roots, and on the board between them", HOLD, MOST, "MPa"),
    Row("load.sag", "the board bent between its feet for years", HOLD, MOST),
    # gaskets
    Row("seal.squeeze seal.foam", "gaskets: squeeze, evenness", SEAL, BAND, "%"),
    Row("seal.lip seal.land seal.speaker-land", "gaskets: unbroken land", SEAL),
    Row("flat.recess", "what must be spot-faced or countersunk by hand in sheet", HANDWORK, FREE),
    Row("sound.rear sound.seen", "air path behind the cone; share of the cone that the trim shows", AIM, LEAST, "%"),
    Row("heat heat.device", "the material, or a device, against its place", HOLD, LEAST, "C"),
    Row("wet", "a sheet against the water of its place", HOLD, LEAST, "1"),
    Row("heat.under", "the board under its warmest device", HOLD, MOST, "C"),
    # walls
    Row("wall.screw-bore wall.screw-outside wall.screw-path wall.floor", "material round a speaker screw", HOLD),
    Row("wall.nut-bore wall.nut-outside wall.nut-groove wall.nut-path", "material round a through bolt's nut", HOLD),
    Row("wall.relief-outside wall.relief-groove wall.relief-path", "material round the room cut for a terminal", HOLD),
    Row("wall.lap-bore wall.lap-outside wall.lap-screws wall.lap-floor", "material round the screws of a lap", HOLD),
    Row("wall.path-bore wall.path-collar wall.recess-bore wall.groove-bore", "between cuts", HOLD),
    Row("wall.base wall.roof wall.hole-edge wall.tower wall.web", "base, tower, sheet", HOLD),
    Row(
        "wall.seat wall.well wall.wells wall.pin-hole wall.cup",
        "of a cup: plate under a head; round wells and holes; hub",
        HOLD,
    ),
    Row("wall.sleeve wall.stop wall.lip", "of a sleeve: two lines of the nozzle at least", HOLD),
    Row("wall.plate wall.above-insert wall.foot", "board, inserts set from below, the foot round its screw", HOLD),
    Row("wall.step", "material beside, through and under a coupon's steps", HOLD),
    Row("wall.label wall.least", "behind lettering; the least material anywhere, broken edges included", HOLD),
    Row("wall.thin wall.detail", "walls of a mesh without a plan; lettering and the like on it", HOLD),
    Row(
        "wall.disagreement wall.unknown",
        "the mesh shows another wall than was planned; a thin one that the plan does not know",
        PROOF,
    ),
    Row("edges", "edges that are touched or that lie on the face are broken", HANDWORK),
    # printing, and the mesh as a solid
    Row("print.pose", "it stands as it is printed", PRINT, TARGET, ""),
    Row("print.overhang", "what leans out", PRINT, MOST, "deg"),
    Row("print.bridge", "what is bridged", PRINT, MOST),
    Row("print.contact", "first layer", PRINT, LEAST, ""),
    Row("print.least", "least feature", PRINT),
    Row("bed", "room left on the bed", PRINT),
    Row("solid.watertight solid.oriented solid.facets", "a mesh as a solid: closed, facing outward", PROOF, MOST, "1"),
    Row("solid.one", "a mesh as a solid: in one piece", PROOF, TARGET, "1"),
    Row("solid.unit", "a mesh as a solid: drawn in mm", PROOF, BAND),
    Row("solid.crossing", "a mesh as a solid: it meets itself nowhere", PROOF, MOST, "%"),
    Row("solid.triangles", "volume of the triangles against the solid's", PROOF, TARGET, "%"),
    Row("solid.volume", "agreement of the two kernels", PROOF, MOST, "ppm"),
    Row(
        "solid.holes",
        "the same of their holes; of a mesh file, its through holes against the plan's",
        PROOF,
        TARGET,
        "1",
    ),
    Row(
        "solid.unmeasured", "what could not be checked because the mesh is no solid, or half a ring alone", PROOF, FREE
    ),
    Row("clear.disagreement", "plan and finished mesh give two distances", PROOF, TARGET),
)
CODES = {name: row for row in ROWS for name in row.names.split()}
CHANCES = frozenset(("chance.fixings", "chance.clear", "chance.mount", "fit.pins"))
UNNAMED = frozenset(  # whose words name at most one of the two things that a finding lies between
    ("wall.least", "wall.label", "wall.roof", "wall.thin", "wall.detail", "seal.speaker-land", "print.least")
)
# Walls of which the plan knows a least value only, so that only less on the mesh contradicts it: the side of a cup's
# well goes no further than the hub, which narrows; nut room, wire notch and the broken edge at the back take away where
# a cup's bore is nearest to the hub; a tool path takes away the outside beside a terminal's room.
BOUNDS = frozenset({"wall.well", "wall.cup", "wall.relief-outside"})
PLACES = {name: place for place, row in enumerate(ROWS) for name in row.names.split()}
