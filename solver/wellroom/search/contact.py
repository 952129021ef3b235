"""Where a margin is least, as a value and in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Side = Literal["left", "right", "both"]


@dataclass(frozen=True)
class Place:
    """A place in the hub frame [mm]: x forward, y outboard, z up of the mounting face's centre."""

    x: float
    y: float
    z: float


@dataclass(frozen=True)
class Contact:
    """Where a margin is least.

    ``lock_deg`` > 0: this wheel is on the inside of the turn (its front swings outboard), < 0: on the
    outside. ``travel_mm`` > 0: this wheel is up. ``r_mm``, ``y_mm``: distance from the wheel's axis and
    lateral place. ``extreme`` names those of "lock", "bump", "droop", "tilt" that stand at their limits.
    ``by``: mm of margin gained for a mm, a degree or 1 more of a measure, by its path in the scenario.
    ``beyond``: it lies past the tire, and counts only as what lies on its far side is taken as closed.
    ``words`` is only for what the parts can't say; else `contact_words` builds them in the reader's units.
    """

    what: str
    place: Place | None = None
    lock_deg: float | None = None
    travel_mm: float | None = None
    tilt_deg: float | None = None
    r_mm: float | None = None
    y_mm: float | None = None
    side: Side | None = None
    words: str | None = None
    extreme: tuple[str, ...] = ()
    by: Mapping[str, float] | None = None
    beyond: bool = False


def _length_words(mm: float, units: str) -> str:
    if units == "mm":
        return f"{abs(mm):.0f} mm"
    quarters = round(abs(mm) / 25.4 * 4)
    whole, part = divmod(quarters, 4)
    fraction = ("", "1/4", "1/2", "3/4")[part]
    return " ".join(filter(None, [str(whole) if whole or not part else "", fraction])) + " in"


def pose_words(contact: Contact, units: str = "in") -> str:
    """Return the pose of a contact in words, "" where it carries none; ``units`` "in" or "mm".

    >>> pose_words(Contact("leaf spring", lock_deg=31.0, travel_mm=-50.8, extreme=("lock",)))
    'full inner lock, 2 in down'
    """
    words = []
    if contact.lock_deg is not None:
        wheel = "inner" if contact.lock_deg > 0 else "outer"
        if "lock" in contact.extreme:
            words.append(f"full {wheel} lock")
        elif abs(contact.lock_deg) >= 0.05:
            words.append(f"{abs(contact.lock_deg):.1f} degrees of {wheel} lock")
    if contact.travel_mm is not None:
        if "bump" in contact.extreme:
            words.append("full bump")
        elif "droop" in contact.extreme:
            words.append("full droop")
        elif abs(contact.travel_mm) >= 0.05:
            way = "up" if contact.travel_mm > 0 else "down"
            words.append(f"{_length_words(contact.travel_mm, units)} {way}")
    if contact.tilt_deg is not None and abs(contact.tilt_deg) >= 0.05:
        tilt = f"{abs(contact.tilt_deg):.1f} degrees of tilt"
        words.append("full tilt" if "tilt" in contact.extreme else tilt)
    if not words and (contact.lock_deg is not None or contact.travel_mm is not None):
        words.append("straight ahead at ride height")
    return ", ".join(words)


def thing_words(contact: Contact) -> str:
    """Return the thing of a contact with its side, unless its name says the side already."""
    if contact.side in (None, "both") or str(contact.side) in contact.what.lower().split():
        return contact.what
    return f"{contact.side} {contact.what}"


def contact_words(contact: Contact, units: str = "in") -> str:
    """Return thing and pose of a contact in words.

    >>> contact_words(Contact("leaf spring", side="left", lock_deg=0.0, travel_mm=101.6, extreme=("bump",)))
    'left leaf spring, full bump'
    """
    if contact.words is not None:
        return contact.words
    past = "past the tire, counted only as its far side is taken as closed" if contact.beyond else ""
    return ", ".join(filter(None, [thing_words(contact), pose_words(contact, units), past]))
