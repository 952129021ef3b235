"""What an order sheet holds: frozen values that mirror its JSON document key by key.

Lengths are millimetres, masses kilograms, pressures kPa, moments N m. A wheel's own measures count from its
own mounting face; what stands on the vehicle counts from the hub's face, which an adapter moves.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from wellroom.search.contact import Contact
from wellroom.search.results import Axle, Gearing, Header, TireChoice, Windows

RUNOUT_MM = 1.0
"""Most runout, across and round, at both bead seats: about 0.040 in. Common practice, no source."""
SNAP_IN_KPA = 448.0
"""Above 65 psi a snap-in valve does not hold. Common practice, no source."""


@dataclass(frozen=True)
class Accepted:
    """What the builder accepted by name, and what it is."""

    what: str
    says: str


@dataclass(frozen=True)
class Taken:
    """One measure: where it stands in the scenario, its value with its ± as written, how it was taken.

    ``of``: the name of the thing near that it is of.
    """

    path: str
    value: str
    how: str | None
    of: str | None = None


@dataclass(frozen=True, kw_only=True)
class TireOrder:
    """The tire that a wheel is for, with its largest load and the pressure that carries it."""

    choice: TireChoice
    od_largest_mm: float
    load_kg: float
    pressure_kpa: float
    tube: bool
    rim_min_in: float
    rim_max_in: float


@dataclass(frozen=True, kw_only=True)
class Asked:
    """How far a wheel may be off [mm and in, each rounded down], less and more."""

    less_mm: float
    more_mm: float
    less_in: float
    more_in: float


@dataclass(frozen=True, kw_only=True)
class Well:
    """The drop centre: its side, which is the one the tire is mounted from, and its middle from the outer
    edge of that side's flange [mm]; depth below the bead seat and width of its flat [mm].
    """

    side: Literal["outboard", "inboard"]
    from_edge_mm: float
    depth_mm: float
    flat_mm: float


@dataclass(frozen=True, kw_only=True)
class Bolts:
    """How a wheel is bolted on and centred; None where it is not known.

    ``hub_studs`` and ``hub_circle_mm`` are the hub's; the wheel's own differ from them on an adapter.
    ``pilot_mm``: what the bore goes over, the hub's at its largest or the adapter's own.
    """

    studs: int
    bolt_circle_mm: float
    hub_studs: int
    hub_circle_mm: float
    hub_circle_pm_mm: float
    measured: Taken
    stud: str | None
    stud_length_mm: float | None
    seat: str | None
    centred_by: str | None
    hole_mm: float | None
    bore_least_mm: float
    bore_most_mm: float | None
    pilot_mm: float | None


@dataclass(frozen=True)
class Moment:
    """The cornering test's bending moment [N m]: as the standard has it, and with |inset|, to build for.

    ``factor`` is the standard's S, ``cycles`` its least number of cycles.
    """

    axle: Axle
    factor: float
    cycles: int
    printed_nm: float
    build_nm: float


@dataclass(frozen=True)
class DryFit:
    """One place to measure in the dry fit.

    ``gap``: straight from the wheel's metal to the thing. ``place``: the thing's distance from the wheel's
    axis (``radius_mm``) and sideways from the outer edge of a flange (``sideways_mm``; ``flange`` says
    which). ``least_mm`` is the least gap; ``room_mm`` how much nearer the thing may stand than stated here.
    """

    id: str
    measured: Literal["gap", "place"]
    contact: Contact
    flange: Literal["inboard", "outboard"]
    radius_mm: float
    sideways_mm: float
    gap_mm: float
    least_mm: float
    room_mm: float


@dataclass(frozen=True, kw_only=True)
class OnAxle:
    """What a wheel meets on one axle. ``hub_backspace_mm`` is from the hub's face, as fit and check take it.

    ``window_mm``: the backspaces from the hub's face that ratings, clearances and limits leave; ``less_by``
    and ``more_by`` what ends it, each with its room [mm, rounded down]. ``check``: the command lines that
    judge what was delivered; AS-BUILT stands for the measured figure.
    """

    axle: Axle
    quantity: int
    hub_backspace_mm: float
    window_mm: Windows
    room_less_mm: float
    less_by: str | None
    room_more_mm: float
    more_by: str | None
    load_kg: float
    brake_mm: tuple[tuple[float, float], ...]
    brake_clearance_mm: float | None
    protrusion_diameter_mm: float | None
    protrusion_length_mm: float | None
    thread: str | None
    check: tuple[str, ...]
    dry_fit: tuple[DryFit, ...]


@dataclass(frozen=True, kw_only=True)
class OrderLine:
    """Wheels that are alike: one line of the order. ``source`` made: to be made; stock: bought as listed."""

    axles: tuple[Axle, ...]
    quantity: int
    spares: int
    source: Literal["made", "stock"]
    wheel_id: str
    maker: str
    material: str
    adapter_id: str | None
    adapter_mm: float | None
    rim_diameter_in: float
    rim_width_in: float
    backspace_in: float
    backspace_mm: float
    backspace_asked: Asked
    inset_mm: float
    overall_width_mm: float
    overall_width_asked: Asked
    front_space_mm: float
    flange_in_mm: float
    flange_out_mm: float
    disc_mm: float
    well: Well
    bolts: Bolts
    load_kg: float
    pressure_kpa: float
    rated_load_kg: float
    rated_pressure_kpa: float
    moments: tuple[Moment, ...]
    tire: TireOrder
    valve: Literal["tube", "metal", "snap_in"]
    on: tuple[OnAxle, ...]


@dataclass(frozen=True, kw_only=True)
class OrderSheet(Header):
    """The order of one ranked combination. ``number`` is made from all the rest."""

    command: str = "order"
    number: str
    rank: int
    lines: tuple[OrderLine, ...]
    runout_mm: float
    accepted: tuple[Accepted, ...]
    not_judged: tuple[str, ...]
    gearing: Gearing | None
    measures: tuple[Taken, ...]
