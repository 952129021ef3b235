"""Blocks onto a stream: with tones where a person looks, plain where another program reads."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from typing import IO

from wellroom.report.blocks import Block, layout

PLAIN_WIDTH = 80
LEAST_WIDTH = 40
MOST_WIDTH = 100
STYLES = {"": "", "strong": "bold", "dim": "dim", "good": "bold green", "bad": "bold red"}


def plain(blocks: Sequence[Block], width: int = PLAIN_WIDTH) -> str:
    """Return the page as plain text, at most ``width`` columns wide."""
    return "".join(f"{line}\n" for line, _ in layout(blocks, width))


def print_page(blocks: Sequence[Block], stream: IO[str]) -> None:
    """Write the page: as wide as the terminal (100 at most) and with tones there, else plain text.

    NO_COLOR and TERM=dumb are respected; plain text is 80 columns wide, or narrower where COLUMNS says so.
    """
    if not stream.isatty() or os.environ.get("TERM") == "dumb":
        stream.write(_encodable(plain(blocks, _plain_width()), stream))
        return
    from rich.console import Console
    from rich.text import Text as Styled

    console = Console(file=stream, highlight=False, markup=False, emoji=False)
    for line, tone in layout(blocks, min(console.width, MOST_WIDTH)):
        text = Styled(_encodable(line, stream), style=STYLES[tone])
        console.print(text, no_wrap=True, crop=False, overflow="ignore", soft_wrap=True)


def _plain_width() -> int:
    wished = os.environ.get("COLUMNS", "")
    return (
        min(max(int(wished), LEAST_WIDTH), PLAIN_WIDTH) if re.fullmatch("[0-9]{1,5}", wished) else PLAIN_WIDTH
    )


def _encodable(text: str, stream: IO[str]) -> str:
    encoding = getattr(stream, "encoding", None) or "utf-8"
    return text.encode(encoding, errors="replace").decode(encoding)
