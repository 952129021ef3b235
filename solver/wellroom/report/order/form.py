"""What a form is made of, as plain data: what prints it knows nothing of wheels."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any, Literal

from wellroom.report.blocks import held

BLANK = ""
"""A cell that is to be filled in by hand."""


@dataclass(frozen=True)
class Heading:
    """A heading; ``page`` starts a new page of paper."""

    text: str
    page: bool = False
    kind: Literal["heading"] = field(default="heading", init=False)


@dataclass(frozen=True)
class Words:
    """A paragraph; ``tone`` "mono" is a command to type."""

    text: str
    tone: Literal["", "strong", "mono"] = ""
    kind: Literal["words"] = field(default="words", init=False)


@dataclass(frozen=True)
class Listed:
    """A list of sentences, framed where they are cautions."""

    title: str
    texts: tuple[str, ...]
    framed: bool = False
    kind: Literal["listed"] = field(default="listed", init=False)


@dataclass(frozen=True)
class Grid:
    """A table; ``shares`` are the columns' shares of the width, an empty cell is a blank to write in."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    shares: tuple[int, ...]
    tall: bool = False
    kind: Literal["grid"] = field(default="grid", init=False)


@dataclass(frozen=True)
class Picture:
    """A drawing as SVG, its size on paper [mm], and its words for who can't see it."""

    title: str
    svg: str
    wide: float
    says: str
    kind: Literal["picture"] = field(default="picture", init=False)


@dataclass(frozen=True)
class Sign:
    """A line of places to sign."""

    labels: tuple[str, ...]
    kind: Literal["sign"] = field(default="sign", init=False)


Block = Heading | Words | Listed | Grid | Picture | Sign


@dataclass(frozen=True)
class Form:
    """A whole form: what stands at its head, and its blocks in order."""

    title: str
    number: str
    subject: str
    paper: Literal["us-letter", "a4"]
    foot: str
    blocks: tuple[Block, ...]

    def data(self) -> dict[str, Any]:
        """Return the form as plain data for a template, no number broken over two lines."""
        whole = asdict(self)
        whole["blocks"] = [
            asdict(block) if isinstance(block, Picture) else _held(asdict(block)) for block in self.blocks
        ]
        return whole


def _held(value: Any) -> Any:
    if isinstance(value, str):
        return held(value)
    if isinstance(value, dict):
        return {key: entry if value.get("tone") == "mono" else _held(entry) for key, entry in value.items()}
    return [_held(entry) for entry in value] if isinstance(value, (list, tuple)) else value
