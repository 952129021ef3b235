"""The page of a ``vary``: the chart of the sweep with its turns, then the points in a table."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import groupby, pairwise

from markupsafe import Markup

from wellroom.report import measures
from wellroom.report import vary as text_vary
from wellroom.report.draw.model import Drawing
from wellroom.report.draw.sweep import Curve, Plot, Stretch, Sweep, sweep
from wellroom.report.web import shared, tables
from wellroom.report.web.figures import figure, side_by_side
from wellroom.report.web.parts import Part, dual, dual_block
from wellroom.report.web.shell import Answer, page_text
from wellroom.scenario.model import Scenario
from wellroom.search.results import AXLES
from wellroom.search.vary_results import BestAxle, OfAxle, Point, Turn, VaryResult
from wellroom.units import Units

LACKING = "x"
_LEGEND = Markup('<p class="dim">{}</p>').format(
    f"Letters: the best combinations, named below. {LACKING}: the scenario can't have these values."
)
KINDS = {
    "another best": "another is best",
    "first fit": "something fits from here on",
    "last fit": "nothing fits from here on",
}


def vary_html(scenario: Scenario, result: VaryResult, units: Units) -> str:
    """Return the page of a sweep as one HTML text; ``units`` are shown to begin with."""
    two = len(result.inputs) == 2
    parts = (
        Part("chart", "What the range gives", _grid(result) if two else sweep_figure(result)),
        Part("turns", "Where the answer turns", _turns(result)),
        Part("checked", "What was checked, what was not", shared.checked(result)),
        Part("values", "What each value gives", _values(result)),
        Part("left", "What each value leaves open", _left_open(result)),
        Part("refused", "What the scenario can't have", _refused(result)),
        *shared.ending(scenario, result),
    )
    names = " and ".join(one.path for one in result.inputs)
    answer = Answer(text_vary.answer(result), parts)
    return page_text(result.scenario, f"what {names} changes", [answer], units)


def sweep_figure(result: VaryResult) -> Markup:
    """Return the chart of a sweep of one input, in both units."""

    def one(units: Units) -> Markup:
        drawing = chart(result, units)
        return Markup("") if drawing is None else figure(drawing, f"sweep-{units}")

    return side_by_side([dual_block(one)]) + _LEGEND


def chart(result: VaryResult, units: Units) -> Drawing | None:
    """Return the chart of a sweep of one input; None where it has not two points."""
    varied = result.inputs[0]
    numbers = [_number(text, varied.unit) for text in varied.values]
    if varied.step is None or any(number is None for number in numbers):
        numbers = [float(k) for k in range(len(varied.values))]
    order = sorted(range(len(numbers)), key=lambda k: numbers[k] or 0.0)
    places = tuple(numbers[k] or 0.0 for k in order)
    points = [result.points[k] for k in order]
    turns = tuple(_number(turn.high, varied.unit) or 0.0 for turn in result.turns)
    data = Sweep(
        f"{varied.path}, {varied.unit}" if varied.unit else varied.path,
        places,
        tuple(p.values[0].removesuffix(f" {varied.unit}") for p in points),
        _stretches(result, points, places, turns),
        turns,
        (
            Plot(f"tallest tire that fits, {units}", _curves(points, lambda a: _tall(a, units))),
            Plot("pairs of tire and rim with a window", _curves(points, lambda a: float(a.pairs))),
        ),
    )
    return sweep(data, f"What {varied.path} gives", _description(result))


def _number(text: str, unit: str) -> float | None:
    try:
        return float(text.removesuffix(unit))
    except ValueError:
        return None


def _stretches(
    result: VaryResult, points: list[Point], places: tuple[float, ...], turns: tuple[float, ...]
) -> tuple[Stretch, ...]:
    """Return the stretches of one best each, from turn to turn.

    Without turns (values that are words) each point has a stretch of its own.
    """
    names = [_name(result, point) for point in points]
    if result.inputs[0].step is None:
        middles = [places[0], *((a + b) / 2.0 for a, b in pairwise(places)), places[-1]]
        return tuple(Stretch(a, b, name) for (a, b), name in zip(pairwise(middles), names, strict=True))
    out: list[Stretch] = []
    for lacking, run in groupby(zip(places, names, strict=True), lambda at: at[1] == LACKING):
        here = list(run)
        first, last = here[0][0], here[-1][0]
        if lacking:
            before = max((p for p in places if p < first), default=first)
            after = min((p for p in places if p > last), default=last)
            out.append(Stretch(before, after, LACKING))
            continue
        for start, end in pairwise([first, *(turn for turn in turns if first < turn <= last), last]):
            found = [name for at, name in here if start <= at < end]
            if start < end:
                out.append(Stretch(start, end, found[0] if found else ""))
    return tuple(out)


def _name(result: VaryResult, point: Point) -> str:
    if point.refused is not None:
        return LACKING
    if point.best is None:
        return "none"
    return text_vary.letters(result)[text_vary.best_words(point.best)]


def _curves(points: Sequence[Point], value: Callable[[OfAxle], float | None]) -> tuple[Curve, ...]:
    """Return a curve for each axle; one for both where they are alike."""
    found = {}
    for axle in AXLES:
        here = [point.axles.get(axle) for point in points]
        found[axle] = tuple(None if one is None else value(one) for one in here)
    if found["front"] == found["rear"]:
        return (Curve("front, rear", found["front"]),)
    return (Curve("front", found["front"]), Curve("rear", found["rear"], dashed=True))


def _tall(here: OfAxle, units: Units) -> float | None:
    if here.tallest_mm is None:
        return None
    return here.tallest_mm / 25.4 if units == "in" else here.tallest_mm


def _description(result: VaryResult) -> str:
    """Return what a reader who can't see the chart is told; the table holds every figure."""
    turns = [f"Turn {k}: between {t.low} and {t.high}, {KINDS[t.kind]}." for k, t in _numbered(result)]
    first, last = result.points[0].values[0], result.points[-1].values[0]
    return " ".join([f"From {first} to {last}.", *(turns or ["No turn."])])


def _numbered(result: VaryResult) -> Iterator[tuple[int, Turn]]:
    return enumerate(result.turns, 1)


def _turns(result: VaryResult) -> Markup:
    """Return the turns by the numbers they have on the chart."""
    if len(result.inputs) != 1 or result.inputs[0].step is None:
        return Markup("")
    if not result.turns:
        return Markup("<p>The best combination is the same at every value (backspaces aside).</p>")
    rows = [
        (str(k), KINDS[turn.kind], turn.low, turn.high, turn.exact_to, turn.after or measures.DASH)
        for k, turn in _numbered(result)
    ]
    heads = ("no.", "what", "up to", "from", "exact to", "what is best from here on")
    return tables.table("Turns, by their numbers on the chart", heads, rows, (0, 2, 3, 4))


def _grid(result: VaryResult) -> Markup:
    """Return a sweep of two inputs as a grid: the best combination's letter and how many pairs fit."""
    first, second = result.inputs
    cells: dict[tuple[str, ...], tables.Cell] = {}
    for point in result.points:
        letter = Markup("<strong>{}</strong>").format(_name(result, point))
        count = "" if point.refused else f"{text_vary.pairs(point):,}"
        cells[point.values] = Markup("{} {}").format(letter, count)
    rows = [(value, *(cells[value, other] for other in second.values)) for value in first.values]
    caption = (
        f"The best combination's letter, and how many pairs of tire and rim fit: {first.path} down, "
        f"{second.path} across"
    )
    return tables.table(caption, ("", *second.values), rows, range(1, len(second.values) + 1)) + _LEGEND


def _values(result: VaryResult) -> Markup:
    """Return today's wheels and the best combination at every value, and the combinations by letter."""
    rows = [
        (
            *point.values,
            "" if point.refused else dual(partial(text_vary.today_words, point.today)),
            _name(result, point),
            _score(point),
            measures.money(point.best.price if point.best else None),
        )
        for point in result.points
    ]
    heads = (*_inputs(result), "today's wheels, to spare", "best", "score", "price")
    count = len(result.inputs)
    named = [f"{letter}: {words}" for words, letter in text_vary.letters(result).items()]
    return tables.table(
        "At every value: today's least clearance to spare, and what is best",
        heads,
        rows,
        (*range(count + 1), count + 2, count + 3),
    ) + tables.items(named)


def _score(point: Point) -> str:
    return measures.DASH if point.best is None or point.best.score is None else str(point.best.score)


def _inputs(result: VaryResult) -> tuple[str, ...]:
    """Return the heads of the columns that hold the inputs' values."""
    short = tuple(one.path.rsplit(".", 1)[-1].replace("_", " ") for one in result.inputs)
    return short if len(set(short)) == len(short) else tuple(one.path for one in result.inputs)


def _left_open(result: VaryResult) -> Markup:
    """Return what each value leaves open on each axle."""
    rows = []
    for point in result.points:
        for axle, here in point.axles.items():
            if here is None:
                continue
            best = point.best.axles.get(axle) if point.best else None
            wide = measures.DASH if here.widest_in is None else f"{measures.number(here.widest_in)} in"
            rows.append(
                (
                    *point.values,
                    axle,
                    tables.length(here.tallest_mm),
                    measures.short_size(here.tallest_tire or measures.DASH),
                    wide,
                    f"{here.pairs:,}",
                    dual(partial(_window, best)),
                )
            )
    heads = (
        *_inputs(result),
        "axle",
        "tallest tire",
        "its size",
        "widest rim",
        "pairs",
        "window about the best",
    )
    count = len(result.inputs)
    numeric = (*range(count), count + 1, count + 3, count + 4, count + 5)
    return tables.table("On each axle: the extremes of what fits", heads, rows, numeric)


def _window(best: BestAxle | None, units: Units) -> str:
    width = None if best is None else best.window_width_mm
    return measures.with_unit(measures.length(width, units, "down"), units)


def _refused(result: VaryResult) -> Markup:
    return tables.items([f"{', '.join(p.values)}: {p.refused}" for p in result.points if p.refused])
