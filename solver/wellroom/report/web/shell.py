"""The shell of every page: answers to choose from, parts in reading order, one file that needs no other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from wellroom.report.blocks import Text
from wellroom.report.cautions import CAUTIONS
from wellroom.report.web.parts import Part
from wellroom.units import Units

_HERE = Path(__file__).parent


@dataclass(frozen=True)
class Rank:
    """One rank to choose: its number, what it is called, and what is said once it is chosen."""

    number: int
    name: str
    says: str


@dataclass(frozen=True)
class Answer:
    """One answer of a page: a stance's, or the page's only one.

    ``ranks`` are there to choose from, ``shown`` the one that is shown first. An answer states all its
    parts in reading order, those without content too.
    """

    sentence: Text
    parts: tuple[Part, ...]
    stance: str | None = None
    ranks: tuple[Rank, ...] = ()
    shown: int = 0

    @property
    def says(self) -> str:
        """What is said of what is shown first."""
        found = next((rank.says for rank in self.ranks if rank.number == self.shown), "")
        return found or (f"Shown: stance {self.stance}." if self.stance else "")


@dataclass(frozen=True)
class Section:
    """A part as it is set: its content, and the answers that have any, None for all of them."""

    id: str
    title: str
    body: Markup
    answers: tuple[int, ...] | None


def page_text(title: str, subject: str, answers: Sequence[Answer], units: Units, first: int = 0) -> str:
    """Return a page as one HTML text; ``units`` and the answer number ``first`` are shown to begin with."""
    return (
        _environment()
        .get_template("page.html.j2")
        .render(
            title=title,
            subject=subject,
            units=units,
            caution=CAUTIONS["head"],
            answers=answers,
            first=first,
            prefix=prefix,
            sections=sections(answers, first),
            style=Markup((_HERE / "page.css").read_text(encoding="utf-8")),
            script=Markup((_HERE / "page.js").read_text(encoding="utf-8")),
        )
    )


def _environment() -> Environment:
    return Environment(
        loader=FileSystemLoader(_HERE),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def prefix(number: int) -> str:
    """Return what the ids of an answer's own content start with.

    >>> prefix(0), prefix(1)
    ('', 's2-')
    """
    return f"s{number + 1}-" if number else ""


def sections(answers: Sequence[Answer], first: int) -> list[Section]:
    """Return the parts of all answers, each part once: what all share is written once, else each its own."""
    every = [{part.id: part for part in answer.parts} for answer in answers]
    titles = {part.id: part.title for answer in answers for part in answer.parts}
    out = []
    for id_, title in titles.items():
        bodies = [parts[id_].body if id_ in parts else Markup("") for parts in every]
        if len(set(bodies)) == 1:
            section = Section(id_, title, bodies[0], None)
        else:
            own = {number: body for number, body in enumerate(bodies) if body}
            each = (_of_answer(number, body, first) for number, body in own.items())
            whole = None if len(own) == len(bodies) else tuple(own)
            section = Section(id_, title, Markup("").join(each), whole)
        if section.body:
            out.append(section)
    return out


def _of_answer(number: int, body: Markup, first: int) -> Markup:
    hidden = Markup("" if number == first else " hidden")
    return Markup('<div class="stanced" data-stance="{}"{}>{}</div>').format(number, hidden, body)
