"""A result as a notebook shows it: the answer, its tables, and the charts that it carries by itself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from markupsafe import Markup

from wellroom.report import measures
from wellroom.report.blocks import Bars, Block
from wellroom.report.draw.model import Drawing
from wellroom.report.draw.svg import svg_text
from wellroom.report.draw.windows import windows
from wellroom.report.out import page
from wellroom.report.web.vary import chart
from wellroom.report.web.words import blocks_markup, headed
from wellroom.search.results import CheckResult, FitResult, Header, Plan
from wellroom.search.vary_results import VaryResult
from wellroom.units import Units

OPEN = {"check": 3, "why": 3}
"""How many headed parts are shown at once, one unless stated; the rest unfolds."""
STYLE = (
    ".wellroom table{border-collapse:collapse;margin:8px 0}"
    ".wellroom th,.wellroom td{text-align:left;vertical-align:top;padding:2px 12px 2px 0}"
    ".wellroom .n{text-align:right;white-space:nowrap}.wellroom .group,.wellroom .strong{font-weight:bold}"
    ".wellroom caption{display:none}.wellroom .wide{overflow-x:auto}"
    ".wellroom .good,.wellroom .bad{font-weight:bold}"
    ".wellroom svg{background:#fff;max-width:100%;height:auto;display:block}.wellroom figure{margin:8px 0}"
)


def html(result: Header, units: Units = "mm") -> str:
    """Return a result as HTML: what was asked and its main table, charts, and the rest folded."""
    lead, parts = headed(page(result, units))
    parts = [(title, blocks) for title, blocks in parts if not _drawn_in_letters(blocks)]
    open_ = OPEN.get(result.command, 1)
    out = [Markup("<style>{}</style>").format(Markup(STYLE)), blocks_markup(lead)]
    out += [_part(title, blocks) for title, blocks in parts[:open_]]
    out += [_figure(drawing) for drawing in _charts(result, units)]
    out += [_folded(title, blocks) for title, blocks in parts[open_:]]
    return str(Markup('<div class="wellroom">{}</div>').format(Markup("").join(out)))


def _drawn_in_letters(blocks: Sequence[Block]) -> bool:
    return any(isinstance(block, Bars) for block in blocks)


def _part(title: str, blocks: Sequence[Block]) -> Markup:
    return Markup("<h4>{}</h4>{}").format(title, blocks_markup(blocks, title))


def _figure(drawing: Drawing) -> Markup:
    svg = Markup(svg_text(drawing, f"w{drawing.number()}"))
    return Markup("<figure>{}<figcaption>{}</figcaption></figure>").format(svg, drawing.title)


def _folded(title: str, blocks: Sequence[Block]) -> Markup:
    body = blocks_markup(blocks, title)
    return Markup("<details><summary>{}</summary>{}</details>").format(title, body)


def _charts(result: Any, units: Units) -> Iterator[Drawing]:
    """Yield the charts that a result carries: windows of the best or the judged combination, a sweep."""
    drawing: Drawing | None = None
    if isinstance(result, VaryResult) and len(result.inputs) == 1:
        drawing = chart(result, units)
        if drawing is not None:
            yield drawing
    for plan in _shown(result):
        for axle, fit in plan.axles.items():
            size = measures.short_size(fit.tire.size)
            title = (
                f"Backspace windows, {axle}: {size} on {measures.rim(fit.rim_diameter_in, fit.rim_width_in)}"
            )
            drawing = windows(fit, axle, title, units)
            if drawing is not None:
                yield drawing


def _shown(result: Any) -> Iterator[Plan]:
    if isinstance(result, CheckResult):
        yield result.plan
    elif isinstance(result, FitResult):
        yield from result.fits[:1]
