"""Caution texts, keyed by the place where the builder decides. Texts only: no numbers of a result."""

from __future__ import annotations

CAUTIONS: dict[str, str] = {
    "head": (
        "By the model and these measures only: the trial fit decides. Before any wheel is coated or a tire "
        "mounted, try one bare wheel through full lock and up to the stop with the spring unloaded."
    ),
    "load": (
        "Take the axle load from the plate or a public weighbridge, loaded as used, whichever is greater. "
        "Both tires and both wheels must carry it at your speed; passenger tires on a truck are derated. "
        "Never run below the pressure that the tire's maker states for the load."
    ),
    "rim_type": (
        "Keep to the rim widths that the tire's maker approves. 16 and 16.5 in never mix: the bead can "
        "burst while it is inflated. Multi-piece rims are work for a trained shop. Use a tube only where "
        "tire and rim makers say so. Inflate in a cage, never above the maker's bead-seating limit."
    ),
    "brake": (
        "Measure the brake with new pads or shoes. Leave room for heat, stones and grit. A taller tire asks "
        "for a longer pedal for the same stop, and loads bearings and steering more: ask the axle's maker."
    ),
    "lift": (
        "After a lift, body lift or stop spacer check: brake hoses at full droop and lock, shocks, joint "
        "and pinion angles, caster, drag-link and track-bar angle, driveshaft length; measure the lip again "
        "once settled. Leave no bare or sharp edge where metal was cut. The law may ask for an inspection."
    ),
    "hub": (
        "Thread engagement, seat and torque by the makers' data; check the torque again after 50 to "
        "100 miles (80 to 160 km). Order a bolt circle by calipers or a full-size template, not by tape."
    ),
    "semi_floating": (
        "On a semi-floating axle the wheel's moment goes into the shaft and its bearing: wheels set further "
        "out load both more. Ask the axle's maker."
    ),
    "law": (
        "Width, cover over the tread, ride height and speed rating are matters of local law: ask an "
        "inspector or a licensed engineer where it applies."
    ),
    "order": (
        "Not coated and not mounted until the dry fit is signed. Unmarked or re-welded wheels may be "
        "unlawful on the road."
    ),
    "weld": "Welding on a wheel by a qualified welder only.",
    "measure": (
        "Level floor, wheels chocked, stands under the axle, nobody under a jack, no hand in a loaded "
        "spring or stop."
    ),
}

NEVER_CHECKED = (
    "balance weights, valve stems, mud packed in the barrel",
    "thread engagement, nut seats, left-hand threads, socket room",
    "handling, braking, steering effort, bearing life, strength of anything",
)
"""What no answer covers, whatever was measured."""

ALWAYS = ("head", "load", "rim_type", "brake", "hub", "law")
