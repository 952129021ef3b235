"""Which measures the tightest clearances hang on, in sentences."""

from __future__ import annotations

from wellroom.report import measures
from wellroom.report.blocks import Block, Heading, Text
from wellroom.scenario.quantity import Quantity
from wellroom.scenario.tables import spec_at
from wellroom.scenario.words import place_of
from wellroom.search.contact import thing_words
from wellroom.search.results import AxleFit, Check
from wellroom.units import MM_PER_IN, Kind, Units

_TIGHTEST, _MEASURES = 3, 4
_STEPS: dict[Units, tuple[str, float]] = {"in": ("1/8 in", MM_PER_IN / 8.0), "mm": ("3 mm", 3.0)}
"""How much of a length a sentence speaks of, and the same in mm."""


def leverage_blocks(axle: str, fit: AxleFit, units: Units) -> list[Block]:
    """Return for the tightest clearances what a little more of the measures that count most does to each."""
    told = [check for check in fit.checks if check.margin is not None and check.contact and check.contact.by]
    told.sort(key=lambda check: (check.margin, check.id))
    said = [words for words in (_words(check, units) for check in told[:_TIGHTEST]) if words]
    if not said:
        return []
    lead = "Measure these again before you order: what a little more of each does to the tightest clearances."
    return [
        Heading(f"{axle}: what the tightest clearances hang on"),
        Text(lead),
        *(Text(words, indent=2, hang=2) for words in said),
    ]


def _words(check: Check, units: Units) -> str:
    assert check.contact is not None
    step, mm = _STEPS[units]
    effects = []
    for path, slope in (check.contact.by or {}).items():
        spec = spec_at(place_of(path))
        if path.endswith(".clearance") or not isinstance(spec, Quantity) or spec.kind is Kind.RATIO:
            continue
        angle = spec.kind is Kind.ANGLE
        effects.append((slope if angle else slope * mm, "1 degree" if angle else step, path))
    effects.sort(key=lambda effect: (-abs(effect[0]), effect[2]))
    parts = [
        f"{amount} more of {_called(path)} {'gains' if effect > 0.0 else 'takes'} {_size(abs(effect), units)}"
        for effect, amount, path in effects[:_MEASURES]
    ]
    return (
        f"{thing_words(check.contact)} ({measures.margin(check, units)}): {', '.join(parts)}" if parts else ""
    )


def _called(path: str) -> str:
    """Return a measure's place within its axle; a thing's own by its key alone."""
    _, _, *place = path.split(".")
    return f"its {'.'.join(place[2:])}" if place[0] == "near" else ".".join(place)


def _size(mm: float, units: Units) -> str:
    return f"{mm / MM_PER_IN:.2f} in" if units == "in" else f"{mm:.1f} mm"
