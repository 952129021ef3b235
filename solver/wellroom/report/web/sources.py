"""Where the figures come from: what is computed, how, and by which source."""

from __future__ import annotations

SOURCES: tuple[tuple[str, str, str], ...] = (
    (
        "tire's section on another rim",
        "S = S1 + 0.4 x (rim width - measuring rim)",
        "UN Regulation 30, 6.1.1",
    ),
    (
        "tire's diameter and section",
        "design size of the marking, or the maker's figure in the catalog; flotation markings less 1/2 in",
        "ISO 4000-1 and ISO 4223-1, from memory; flotation: common practice, no source",
    ),
    (
        "largest new tire",
        "the catalog's greatest size, else the standard's limit",
        "UN Regulations 30 and 54",
    ),
    (
        "bead seat of the rim",
        "25.4 x code - 0.8 mm to code 16, + 4.8 mm from 17; 15 degree rims 25.4 x code",
        "ISO 4000-2 and ISO 4209-2, from memory",
    ),
    ("flange and drop centre", "the catalog's figures", "JIS D 4218:2021, table 3"),
    (
        "inset",
        "backspace - inboard flange - rim width / 2, positive with the face outboard",
        "ISO 3911; backspace: common practice, no source",
    ),
    ("bolt circle from a chord", "chord / sin(180 degrees / studs)", "geometry of a regular polygon"),
    (
        "load of a tire",
        "load index table; a passenger tire on a truck / 1.10",
        "UN Regulation 30, annex 4; TRA practice",
    ),
    ("full bump", "(stop gap + half the rubber) x stop ratio", "common practice, no source"),
    (
        "clearances",
        "things near swept through lock, travel and tilt against the hollow section, to the printed bound",
        "rigid motion: Rodrigues' rotation formula",
    ),
    (
        "clearances asked",
        "the builder's, else the usual ones listed under what was assumed",
        "common practice, no source",
    ),
    ("effective ratio", "axle ratio x today's rolling circumference / the new one", "definition"),
    ("rolling circumference", "3.05 (radial) or 2.99 (bias) x diameter", "ETRTO, from memory"),
    (
        "joint rule of a 4x4",
        "axle ratio / rolling circumference alike within 1 % (part-time) or 0.5 %",
        "common practice, no source",
    ),
)
"""(figure, how, source)."""
