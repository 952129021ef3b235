"""What a scenario holds once it was read: a tree of frozen values named as in the file.

Every measure is a ``wellroom.units.Measure`` in internal units (mm, rad, kg, km/h, percent) or ``None`` where
it was not given. Attribute names are the file's keys; three keys that Python reserves are renamed: ``in`` is
``inboard``, ``from`` is ``start``, ``to`` is ``end``. What each key means, its unit and the range that can be
believed stand beside it as data; the reader, the faults and the JSON Schema all come from there.

Frames and signs: the mounting face is the origin of every lateral measure. ``out`` and ``flange`` are
positive outboard of it; ``inboard``, ``place``, ``in_from`` and ``in_to`` are positive inboard. ``clock`` is
degrees from straight up, positive forward, on both sides of the vehicle.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Annotated, Any, Literal, NamedTuple, TypeAlias

from wellroom.scenario import marks, spec, wishes
from wellroom.scenario.base import slug
from wellroom.scenario.change import Change
from wellroom.scenario.marks import Rim
from wellroom.scenario.wishes import WISHES, Band, Wish
from wellroom.units import Measure

__all__ = [
    "Assumption",
    "Axle",
    "Axles",
    "Band",
    "Brake",
    "Change",
    "Document",
    "Gearing",
    "Hub",
    "Limits",
    "Lip",
    "Near",
    "Notice",
    "Now",
    "OutlinePoint",
    "Place",
    "Pose",
    "Rim",
    "Scenario",
    "Stance",
    "Steering",
    "Today",
    "TrackBar",
    "Travel",
    "TravelRow",
    "Vehicle",
    "Wish",
]

Given: TypeAlias = Measure | None
Side: TypeAlias = Literal["left", "right", "both"]
Drive: TypeAlias = Literal["4x4_part_time", "4x4_full_time", "rear", "front"]
MovesWith: TypeAlias = Literal["body", "frame", "axle", "knuckle", "between"]
Blocks: TypeAlias = Literal["inboard", "outboard", "nothing"]
Consequence: TypeAlias = Literal["cuts", "rubs"]
Shape: TypeAlias = Literal["point", "bar", "box"]


@dataclass(frozen=True)
class Vehicle:
    """The vehicle as a whole."""

    drive: Annotated[Drive | None, spec.choice("which wheels are driven")] = None
    kind: Annotated[
        Literal["car", "truck"] | None,
        spec.choice(
            "a passenger tire carries less on a truck; where this is not given it is taken as a truck"
        ),
    ] = None
    top_speed: Annotated[Given, spec.speed(30, 300, "the fastest it will be driven")] = None
    wheelbase: Annotated[Given, spec.length(1200, 9000, "front to rear axle")] = None
    body_width: Annotated[Given, spec.length(1000, 2700, "over the fenders, without mirrors")] = None
    spare: Annotated[bool, spec.flag("a full-size spare is carried and must be bought too")] = False
    chains: Annotated[
        Literal["S", "U", "W"] | None,
        spec.choice("the class of traction devices that the driven wheels must have room for"),
    ] = None


@dataclass(frozen=True)
class Hub:
    """What the wheel bolts to."""

    studs: Annotated[int | None, spec.count(3, 12, "how many studs")] = None
    bolt_circle: Annotated[Given, spec.length(80, 340, "the circle through the studs' centres")] = None
    stud_chord: Annotated[
        Given,
        spec.length(40, 200, "centre to centre of adjacent studs: outer edge to outer edge less one stud"),
    ] = None
    pilot_diameter: Annotated[Given, spec.length(40, 290, "the round boss that enters the wheel's bore")] = (
        None
    )
    protrusion_diameter: Annotated[
        Given, spec.length(20, 290, "of what stands out beyond the pilot: cap, locking hub, flange")
    ] = None
    protrusion_length: Annotated[
        Given, spec.length(0, 400, "how far that stands out of the mounting face")
    ] = None
    centred_by: Annotated[
        Literal["pilot", "studs"] | None, spec.choice("what centres the wheel: the pilot or the stud seats")
    ] = None
    stud_size: Annotated[str | None, marks.stud("diameter and thread, as 5/8-18 or M14x1.5")] = None
    stud_length: Annotated[Given, spec.length(10, 150, "thread standing out of the mounting face")] = None
    seat: Annotated[Literal["cone", "ball", "flat"] | None, spec.choice("the shape of the nut's seat")] = None
    thread: Annotated[
        Literal["right", "left", "left_on_left"] | None,
        spec.choice("right-hand, left-hand, or left-hand on the left side only"),
    ] = None
    disc_clamped: Annotated[
        Given,
        spec.length(2, 60, "thickness that the nuts clamp today: the present wheel's disc at the studs"),
    ] = None


class OutlinePoint(NamedTuple):
    """One corner of the brake's outline: radius from the axle's centre, place inboard of the face."""

    radius: Measure
    place: Measure


@dataclass(frozen=True)
class Brake:
    """What turns or stands inside the barrel: an outline, or a plain drum."""

    outline: tuple[
        Annotated[
            OutlinePoint,
            spec.row(
                OutlinePoint,
                radius=spec.length(40, 400, "from the wheel's axis"),
                place=spec.length(-150, 400, "inboard of the mounting face, negative outboard"),
            ),
        ],
        ...,
    ] = field(
        default=(), metadata={"description": "[radius, place] of each corner, place inboard of the face"}
    )
    outside_diameter: Annotated[
        Given, spec.length(120, 640, "over the drum's fins or the rim of its plate")
    ] = None
    depth: Annotated[Given, spec.length(10, 400, "from its outboard end to its inboard end")] = None
    from_face: Annotated[
        Given, spec.length(-150, 300, "inboard place of its outboard end, negative outboard of the face")
    ] = None


class TravelRow(NamedTuple):
    """One row of an independent wheel's travel: bump positive, camber positive top outboard."""

    z: Measure
    camber: Measure
    track: Measure


@dataclass(frozen=True)
class TrackBar:
    """The bar that holds a solid axle sideways, and swings it as it moves."""

    length: Annotated[Given, spec.length(300, 1500, "between its two joints")] = None
    slope: Annotated[Given, spec.angle(-30, 30, "at ride height, positive with the axle's end lower")] = None
    axle_end: Annotated[
        Literal["left", "right"] | None, spec.choice("the side on which it meets the axle")
    ] = None


@dataclass(frozen=True)
class Travel:
    """How far and how the wheels of an axle move."""

    stop_gap: Annotated[
        Given,
        spec.length(0, 400, "air between bump stop and axle at ride height", "a bump stop gap is 1 to 8 in"),
    ] = None
    stop_rubber: Annotated[Given, spec.length(0, 200, "height of the stop's rubber, free")] = None
    stop_ratio: Annotated[Given, spec.ratio(0.5, 4, "wheel travel per stop travel; 1 on a solid axle")] = None
    stop_from_face: Annotated[Given, spec.length(50, 1000, "the stop, inboard of the mounting face")] = None
    droop: Annotated[Given, spec.length(0, 500, "wheel travel down from ride height")] = None
    tilt: Annotated[
        Given,
        spec.angle(0, 35, "lean of the axle to the body at full articulation", "a tilt is 3 to 20 degrees"),
    ] = None
    roll_centre_height: Annotated[
        Given, spec.length(-300, 600, "where the axle pivots, above its own centre; 0 is the axle's centre")
    ] = None
    side_play: Annotated[Given, spec.length(0, 40, "sideways play either way")] = None
    fore_aft: Annotated[
        Given, spec.length(0, 60, "fore and aft move, either way; taken at any travel, as where is not known")
    ] = None
    sideways_at_bump: Annotated[
        Given, spec.length(-80, 80, "sideways shift of the axle at full bump, positive to the right")
    ] = None
    track_bar: TrackBar | None = None
    table: tuple[
        Annotated[
            TravelRow,
            spec.row(
                TravelRow,
                z=spec.length(-400, 400, "wheel travel from ride height, bump positive"),
                camber=spec.angle(-15, 15, "camber, positive top outboard"),
                track=spec.length(-100, 100, "sideways move of the face, positive outboard"),
            ),
        ],
        ...,
    ] = field(
        default=(),
        metadata={
            "description": "[travel, camber, track] rows of an independent wheel, taken against ride height"
        },
    )


@dataclass(frozen=True)
class Steering:
    """Locks and kingpin of a steered axle."""

    lock_inner_wheel: Annotated[
        Given,
        spec.angle(
            5, 55, "lock of the wheel on the inside of a turn", "one wheel's lock is 25 to 45 degrees"
        ),
    ] = None
    lock_outer_wheel: Annotated[
        Given,
        spec.angle(
            5, 55, "lock of the wheel on the outside of a turn", "one wheel's lock is 25 to 45 degrees"
        ),
    ] = None
    kingpin_to_face: Annotated[
        Given, spec.length(-100, 500, "kingpin axis, inboard of the mounting face at hub height")
    ] = None
    kingpin_inclination: Annotated[Given, spec.angle(-5, 25, "positive with the top inboard")] = None
    caster: Annotated[Given, spec.angle(-10, 20, "positive with the top rearward")] = None


@dataclass(frozen=True)
class Lip:
    """One point of the fender's edge."""

    radius: Annotated[
        Given, spec.length(200, 1100, "axle centre to the lip's lower edge", "a lip is 12 to 35 in away")
    ] = None
    out: Annotated[Given, spec.length(-300, 600, "the body's outer skin there, outboard of the face")] = None
    flange: Annotated[
        Given, spec.length(-300, 600, "innermost edge of the return flange there, outboard of the face")
    ] = None
    clock: Annotated[Given, spec.angle(-120, 120, "from straight up, positive forward")] = None
    side: Annotated[Side, spec.choice("the side it was measured on")] = "both"
    at: Annotated[
        Literal["ride", "stop"], spec.choice("measured at ride height, or with the axle at its bump stop")
    ] = "ride"


@dataclass(frozen=True)
class Place:
    """A place by clock, radius and in, or by forward, up and in."""

    clock: Annotated[Given, spec.angle(-180, 180, "from straight up, positive forward")] = None
    radius: Annotated[Given, spec.length(0, 1500, "from the wheel's axis")] = None
    forward: Annotated[Given, spec.length(-2000, 2000, "forward of the axle's centre")] = None
    up: Annotated[Given, spec.length(-1500, 1500, "above the axle's centre")] = None
    inboard: Annotated[Given, spec.length(-600, 1500, "inboard of the face, negative outboard")] = field(
        default=None, metadata={"alias": "in"}
    )


@dataclass(frozen=True)
class Near:
    """One thing near the tire or inside the wheel."""

    what: Annotated[str, spec.text("what it is, in the builder's words")]
    moves_with: Annotated[MovesWith, spec.choice("what it is fastened to")]
    side: Annotated[Side, spec.choice("the side it stands on")] = "both"
    share: Annotated[
        Given, spec.ratio(0, 1, "of the wheel's travel that it follows; only where it moves 'between'")
    ] = None
    blocks: Annotated[
        Blocks | None,
        spec.choice("what lies beyond it is not open either; nothing for knuckle, else inboard"),
    ] = None
    consequence: Annotated[Consequence, spec.choice("what happens where the tire touches it")] = "rubs"
    clearance: Annotated[Given, spec.length(0, 150, "the air wanted around it")] = None
    shape: Annotated[Shape, spec.choice("a point, a round bar, or a box")] = "point"
    clock: Annotated[Given, spec.angle(-180, 180, "point: from straight up, positive forward")] = None
    radius: Annotated[Given, spec.length(0, 1500, "point: from the wheel's axis")] = None
    forward: Annotated[Given, spec.length(-2000, 2000, "point: forward of the axle's centre")] = None
    up: Annotated[Given, spec.length(-1500, 1500, "point: above the axle's centre")] = None
    inboard: Annotated[Given, spec.length(-600, 1500, "point: inboard of the face")] = field(
        default=None, metadata={"alias": "in"}
    )
    start: Place | None = field(default=None, metadata={"alias": "from"})
    end: Place | None = field(default=None, metadata={"alias": "to"})
    diameter: Annotated[Given, spec.length(3, 300, "bar: across it")] = None
    forward_from: Annotated[Given, spec.length(-2000, 2000, "box: its rear face")] = None
    forward_to: Annotated[Given, spec.length(-2000, 2000, "box: its front face")] = None
    up_from: Annotated[Given, spec.length(-1500, 1500, "box: its lower face")] = None
    up_to: Annotated[Given, spec.length(-1500, 1500, "box: its upper face")] = None
    in_from: Annotated[
        Given, spec.length(-600, 1500, "box: its outboard face, inboard of the mounting face")
    ] = None
    in_to: Annotated[Given, spec.length(-600, 1500, "box: its inboard face")] = None

    @property
    def slug(self) -> str:
        """The name that ids carry: ``what`` in lower case, words joined by underscores."""
        return slug(self.what)


@dataclass(frozen=True)
class Pose:
    """A pose that was measured again, beside the model: the tighter of the two holds.

    What is not said of travel, tilt or lock is as at ride height, wheels straight. Its lips and things are
    measured from the hub as it stands there, and named as the axle's own.
    """

    what: Annotated[str, spec.text("how the axle stood")]
    left: Annotated[Given, spec.length(-500, 500, "travel of the left wheel, bump positive")] = None
    right: Annotated[Given, spec.length(-500, 500, "travel of the right wheel, bump positive")] = None
    tilt: Annotated[Given, spec.angle(-35, 35, "lean of the axle, positive with the left wheel up")] = None
    lock: Annotated[Given, spec.angle(-55, 55, "lock of the left wheel, positive to the left")] = None
    lip: tuple[Lip, ...] = ()
    near: tuple[Near, ...] = ()


@dataclass(frozen=True)
class Axle:
    """One axle with both its ends."""

    type: Annotated[Literal["solid", "independent"], spec.choice("how its wheels are tied")]
    driven: Annotated[
        bool | None, spec.flag("its wheels are driven; from the vehicle's drive where not given")
    ] = None
    steered: Annotated[bool | None, spec.flag("its wheels steer; the front's do where not given")] = None
    load: Annotated[
        Given,
        spec.mass(100, 15000, "on this axle, both wheels, loaded as used", "that reads like a tire pressure"),
    ] = None
    face_to_face: Annotated[Given, spec.length(700, 2500, "between the two mounting faces")] = None
    gear_family: Annotated[str | None, spec.text("the family its ring-and-pinion sets belong to")] = None
    axle_ratio: Annotated[Given, spec.ratio(1.5, 12, "its ring-and-pinion ratio today")] = None
    hub: Hub = field(default_factory=Hub)
    brake: Brake = field(default_factory=Brake)
    travel: Travel = field(default_factory=Travel)
    steering: Steering = field(default_factory=Steering)
    lip: tuple[Lip, ...] = ()
    near: tuple[Near, ...] = ()
    pose: tuple[Pose, ...] = ()


@dataclass(frozen=True)
class Axles:
    """Front and rear; both are needed."""

    front: Axle
    rear: Axle


@dataclass(frozen=True)
class Today:
    """What an axle runs on today; ``backspace`` and ``inset`` are never both given."""

    tire: Annotated[str | None, marks.tire("the marking on the side wall")] = None
    rim: Annotated[Rim | None, marks.rim("rim diameter x width in inches, as 16x7")] = None
    backspace: Annotated[
        Given, spec.length(0, 450, "mounting face to the outer edge of the inboard flange")
    ] = None
    inset: Annotated[Given, spec.length(-300, 300, "positive with the face outboard of the rim's centre")] = (
        None
    )
    flange_in: Annotated[Given, spec.length(5, 40, "thickness of the inboard flange")] = None
    flange_out: Annotated[Given, spec.length(5, 60, "thickness of the outboard flange")] = None
    tire_diameter: Annotated[Given, spec.length(400, 1400, "over the tread, measured, where it is known")] = (
        None
    )
    tire_section: Annotated[Given, spec.length(100, 600, "over the side walls, measured on this rim")] = None
    tire_load: Annotated[Given, spec.mass(100, 6000, "the load one tire carries, as its side wall says")] = (
        None
    )
    multi_piece: Annotated[
        bool, spec.flag("a rim with a loose ring: never proposed, and never taken apart here")
    ] = False


@dataclass(frozen=True)
class Now:
    """Today's wheels."""

    front: Today | None = None
    rear: Today | None = None


@dataclass(frozen=True)
class Gearing:
    """Gearbox ratios and the wished cruise; the axles' own ratios stand with the axles."""

    top_gear: Annotated[Given, spec.ratio(0.4, 2, "the highest gear")] = None
    first_gear: Annotated[Given, spec.ratio(1.5, 20, "the lowest gear")] = None
    low_range: Annotated[Given, spec.ratio(1, 6, "the transfer case's low range")] = None
    cruise_speed: Annotated[Given, spec.speed(20, 200, "the speed that cruising means")] = None
    cruise_rpm: Annotated[Given, spec.plain(500, 8000, "the engine speed wished at that speed")] = None


@dataclass(frozen=True)
class Stance:
    """A named set of wishes; each for both axles or for each its own."""

    poke: Annotated[
        Wish | None, wishes.band("length", -500, 500, "tire beyond the body's edge; negative: tucked")
    ] = None
    gap: Annotated[Wish | None, wishes.band("length", -100, 700, "lip to tire, least over the clock")] = None
    tire_diameter: Annotated[Wish | None, wishes.band("length", 400, 1400, "nominal")] = None
    section: Annotated[Wish | None, wishes.band("length", 100, 600, "section width on the rim used")] = None
    rim_diameter: Annotated[
        Wish | None, wishes.band("inch", 10, 30, "in inches, whatever the file's units")
    ] = None
    rim_width: Annotated[Wish | None, wishes.band("inch", 3, 20, "in inches, whatever the file's units")] = (
        None
    )
    effective_ratio_change_pct: Annotated[
        Wish | None, wishes.band("percent", -60, 100, "overall ratio against today's")
    ] = None
    tread: Annotated[
        tuple[str, ...],
        spec.names("kinds of tread wished", "highway", "all_terrain", "mud", "commercial", "classic"),
    ] = ()
    weights: Annotated[
        Mapping[str, float], wishes.weights("how heavily each wish counts; 1 where not given")
    ] = field(default_factory=dict)
    must: Annotated[
        tuple[str, ...],
        spec.names("wishes of this stance that are limits", *WISHES),
    ] = ()


@dataclass(frozen=True)
class Limits:
    """What the builder will not go beyond."""

    budget: Annotated[
        Given, spec.plain(0, 10_000_000, "for everything bought, in the catalogs' currency")
    ] = None
    overall_width: Annotated[Given, spec.length(1000, 3000, "over the tires, the widest axle")] = None
    load_reserve: Annotated[
        Given, spec.percent(0, 200, "tire and wheel rating above the load, in percent")
    ] = None
    mass: Annotated[Given, spec.mass(10, 5000, "of all wheels and tires together")] = None
    scrub_change: Annotated[
        Given, spec.length(0, 300, "most change of the scrub radius against today's, either way")
    ] = None
    same_wheel_all_round: Annotated[bool, spec.flag("one wheel and tire for every corner")] = False
    backspace_step: Annotated[Given, spec.length(0.2, 30, "the step the wheel builder works to")] = None
    trim_max: Annotated[Given, spec.length(0, 200, "most to be cut from a lip")] = None
    lift_max: Annotated[Given, spec.length(0, 400, "most spring lift, and most body lift")] = None
    lock_min: Annotated[Given, spec.angle(5, 55, "least inner lock that is acceptable")] = None
    up_travel_min: Annotated[Given, spec.length(0, 300, "least bump travel that is acceptable")] = None


@dataclass(frozen=True)
class Document:
    """What the file itself says."""

    title: Annotated[str, spec.text("the name of the project")]
    units: Annotated[
        Literal["in", "mm"], spec.choice("of bare numbers: in, lb, psi, mph or mm, kg, kPa, km/h")
    ]
    axle: Axles
    vehicle: Vehicle = field(default_factory=Vehicle)
    now: Now = field(default_factory=Now)
    gearing: Gearing = field(default_factory=Gearing)
    stance: Mapping[str, Stance] = field(default_factory=dict)
    limits: Limits = field(default_factory=Limits)
    change: Change = field(default_factory=Change)


@dataclass(frozen=True)
class Assumption:
    """What the trade usually assumes, filled in because the file is silent; always printed."""

    path: str
    value: str
    why: str


@dataclass(frozen=True)
class Notice:
    """What can be, but is worth a second look."""

    file: str
    line: int
    place: str
    says: str

    def __str__(self) -> str:
        at = f"{self.file}:{self.line}" if self.line else self.file
        return f"{at}: {self.place}: {self.says}"


@dataclass(frozen=True)
class Scenario(Document):
    """A checked scenario: the document with what was assumed, warned of, and where it came from.

    ``sets`` are those that were put over ``text``, the file's own.
    """

    file: str = ""
    text: str = ""
    slug: str = ""
    sets: tuple[str, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    warnings: tuple[Notice, ...] = ()
    lines: Mapping[str, int] = field(default_factory=dict)

    @classmethod
    def of(cls, document: Document, **more: Any) -> Scenario:
        """Return the scenario that holds everything of ``document`` and ``more``."""
        parts: dict[str, Any] = {part.name: getattr(document, part.name) for part in fields(document)}
        return cls(**(parts | more))
