"""Every requirement, declared once: what it is about, its kind and unit, its wording, what a builder can
change.

``rating`` is met only by another part. ``clearance`` is relaxed only by a physical change. ``limit`` only by
the builder's word. ``wish`` never removes a plan, it adds to the score. Scope ``pair`` gives the backspaces
it allows, ``row`` one margin per candidate, ``plan`` joins axles. An id is ``front.lip``, ``plan.budget``:
the axle or ``plan``, then the key declared here, then for what stands near its own name.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from wellroom.search.results import Kind

Scope = Literal["pair", "row", "plan"]


@dataclass(frozen=True)
class Requirement:
    """One requirement. ``changes`` name what can relax it, in the trade's words (ratings: none)."""

    key: str
    scope: Scope
    kind: Kind
    unit: str
    wording: str
    changes: tuple[str, ...] = ()


_BODY = ("backspace", "narrower tire", "shorter tire", "trim", "roll the lip", "stop spacer", "body lift")
_NEAR = ("backspace", "narrower tire", "shorter tire", "steering stop", "adapter")

_ALL = (
    Requirement("rim_type", "row", "rating", "yes/no", "bead seat of the rim is the tire's"),
    Requirement("tube", "row", "rating", "yes/no", "rim takes the tube that the tire needs"),
    Requirement("rim_width_approved", "row", "rating", "in", "rim width is approved for the tire"),
    Requirement("tire_load", "row", "rating", "kg", "two tires carry the axle's load"),
    Requirement("wheel_load", "row", "rating", "kg", "two wheels carry the axle's load"),
    Requirement("wheel_pressure", "row", "rating", "kPa", "wheel is rated for the tire's pressure"),
    Requirement("speed", "row", "rating", "km/h", "tire is rated for the top speed"),
    Requirement("bore_metal", "row", "rating", "mm of metal", "metal left between bolt holes and bore"),
    Requirement(
        "bolt_circle", "row", "clearance", "mm across", "bolt circle is the hub's", ("adapter", "redrill")
    ),
    Requirement("bore", "row", "clearance", "mm across", "bore passes the hub's pilot", ("bore the wheel",)),
    Requirement(
        "hub_protrusion",
        "row",
        "clearance",
        "mm across",
        "bore passes what stands out of the hub",
        ("adapter",),
    ),
    Requirement(
        "disc", "row", "clearance", "mm", "wheel's disc clears the brake", ("adapter", "smaller brake")
    ),
    Requirement(
        "brake",
        "pair",
        "clearance",
        "mm",
        "barrel clears the brake",
        ("backspace", "adapter", "smaller brake"),
    ),
    Requirement("near", "pair", "clearance", "mm", "tire and wheel clear what is near", _NEAR),
    Requirement("lip", "pair", "clearance", "mm", "tire clears the fender's lip", _BODY),
    Requirement("blank", "pair", "clearance", "mm", "wheel shop can make the backspace", ("backspace",)),
    Requirement("load_reserve", "row", "limit", "kg", "rating above the load that the builder asks for"),
    Requirement("overall_width", "pair", "limit", "mm", "width over the tires", ("limit",)),
    Requirement(
        "scrub_change", "pair", "limit", "mm", "scrub radius against today's", ("limit", "backspace")
    ),
    Requirement("poke", "pair", "wish", "mm", "tire beyond the body's edge"),
    Requirement("gap", "row", "wish", "mm", "lip to tire at ride height"),
    Requirement("tire_diameter", "row", "wish", "mm", "tire diameter"),
    Requirement("section", "row", "wish", "mm", "section width on the rim"),
    Requirement("rim_diameter", "row", "wish", "in", "rim diameter"),
    Requirement("rim_width", "row", "wish", "in", "rim width"),
    Requirement("tread", "row", "wish", "kind", "kind of tread"),
    Requirement("gearing", "plan", "wish", "%", "effective ratio against today's", ("regear",)),
    Requirement("rolling_match", "plan", "rating", "%", "axle ratio over rolling radius, front to rear"),
    Requirement("construction", "plan", "rating", "yes/no", "bias or radial, alike front and rear"),
    Requirement("same_wheel", "plan", "limit", "yes/no", "one wheel and tire all round"),
    Requirement("budget", "plan", "limit", "money", "price of everything bought", ("limit",)),
    Requirement("mass", "plan", "limit", "kg", "mass of wheels and tires", ("limit",)),
)
NO_NUMBER = ("yes/no", "kind")
"""Units of what is met or not, without a margin."""
BY_KEY = {requirement.key: requirement for requirement in _ALL}


def requirement(id_: str) -> Requirement:
    """Return the declaration behind an id.

    >>> requirement("front.near.leaf_spring.left").key, requirement("plan.budget").kind
    ('near', 'limit')
    """
    return BY_KEY[id_.split(".")[1]]


def bare(id_: str) -> str:
    """Return an id without its side.

    >>> bare("front.near.leaf_spring.left"), bare("front.lip")
    ('front.near.leaf_spring', 'front.lip')
    """
    return id_.removesuffix(".left").removesuffix(".right")


def wording(id_: str) -> str:
    """Return the wording for an id; what stands near is named in it.

    >>> wording("rear.near.leaf_spring")
    'tire and wheel clear the leaf spring'
    """
    parts = id_.split(".")
    if parts[1] == "near":
        return f"tire and wheel clear the {parts[2].replace('_', ' ')}"
    return BY_KEY[parts[1]].wording
