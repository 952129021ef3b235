"""What a page is made of: parts in reading order, values in both units, things that belong to some ranks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

from wellroom.units import Units

BOTH: tuple[Units, Units] = ("in", "mm")


@dataclass(frozen=True)
class Part:
    """One part of the page: its id, its heading, its content; ``after`` names the part that it follows."""

    id: str
    title: str
    body: Markup
    after: str = ""


def dual(text: Callable[[Units], str]) -> Markup:
    """Return a text in both units, of which the page shows one; the same in both is written once."""
    inches, metric = (text(units) for units in BOTH)
    if inches == metric:
        return escape(inches)
    return Markup('<span class="u-in">{}</span><span class="u-mm">{}</span>').format(inches, metric)


def dual_block(content: Callable[[Units], Markup]) -> Markup:
    """Return a block in both units, of which the page shows one."""
    inches, metric = (content(units) for units in BOTH)
    if inches == metric:
        return inches
    return Markup('<div class="u-in">{}</div><div class="u-mm">{}</div>').format(inches, metric)


def for_ranks(ranks: Sequence[int], shown: int, content: Markup, tag: str = "div") -> Markup:
    """Return content that belongs to some ranks, hidden unless ``shown`` is among them."""
    hidden = "" if shown in ranks else " hidden"
    listed = " ".join(str(rank) for rank in ranks)
    return Markup('<{tag} class="ranked" data-ranks="{listed}"{hidden}>{content}</{tag}>').format(
        tag=Markup(tag), listed=listed, hidden=Markup(hidden), content=content
    )


def placed(parts: Sequence[Part], more: Sequence[Part]) -> list[Part]:
    """Return the parts with more of them set in, each after the one that it names, else at the end."""
    out = list(parts)
    for part in more:
        at = next((k for k, other in enumerate(out) if other.id == part.after), len(out) - 1)
        while at + 1 < len(out) and out[at + 1].after == part.after and part.after:
            at += 1
        out.insert(at + 1, part)
    return out
