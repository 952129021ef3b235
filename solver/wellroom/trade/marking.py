"""Size markings of tires and rims: from text to numbers.

The forms are those of the standards (metric: from memory of ISO 4000-1; P and LT metric: TRA as restated;
commercial, flotation and numeric: from memory of ETRTO, TRA and UN R54). What the numbers mean for the tire's
size is ``design_size``.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from enum import StrEnum

from wellroom.trade.arrays import MM_PER_IN, half_up
from wellroom.trade.load import SPEED_KMH
from wellroom.trade.sizes import APPROVED_METRIC_RIMS, TABULATED
from wellroom.trade.tire import (
    design_diameter_mm,
    design_section_mm,
    measuring_rim_in,
    nominal_diameter_mm,
    section_height_mm,
    section_on_rim,
)


class Family(StrEnum):
    """How a marking is written."""

    METRIC = "metric"
    P_METRIC = "p_metric"
    T_SPARE = "t_spare"
    LT_METRIC = "lt_metric"
    COMMERCIAL = "commercial"
    FLOTATION = "flotation"
    LT_NUMERIC = "lt_numeric"
    TRUCK_NUMERIC = "truck_numeric"


class MarkingError(ValueError):
    """A text that is no size marking, with the ``marking`` and what was ``expected``."""

    def __init__(self, marking: str, expected: str) -> None:
        self.marking = marking
        self.expected = expected
        super().__init__(f"found {marking!r}, expected {expected}")


class UnknownSize(MarkingError):
    """A marking that is well formed, but whose size has no formula and is in no table."""


@dataclass(frozen=True)
class Marking:
    """One tire marking as read. What the marking does not state is None.

    ``width_mm`` for metric forms, ``width_in`` for the others, ``aspect`` in percent, ``outside_in`` for
    flotation, ``rim_code`` the diameter code, ``load_range`` a letter (or XL, SL, HL), ``text`` the marking
    written the usual way.
    """

    family: Family
    width_mm: float | None
    width_in: float | None
    aspect: float | None
    outside_in: float | None
    rim_code: float
    radial: bool
    load_range: str | None
    load_index: int | None
    load_index_dual: int | None
    speed: str | None
    text: str

    @property
    def size(self) -> str:
        """The marking without load and speed: ``LT285/70R17``."""
        return self.text.split(" ", 1)[0]


EXPECTED = (
    "a tire marking such as 205/55R16, P265/70R16, LT285/70R17, "
    "215/75R16C, 37x12.50R17LT, 7.50-16LT or 11R22.5"
)

_CODE = r"(?P<code>[0-9]{2}(?:\.5)?)"
_BUILD = r"(?P<build>ZR|[RDB-])"
_METRIC = re.compile(
    rf"(?P<prefix>LT|P|T)?(?P<width>[1-5][0-9]{{2}})(?:/(?P<aspect>[0-9]{{2,3}}))?{_BUILD}{_CODE}(?P<c>C)?"
)
_FLOTATION = re.compile(
    rf"(?P<lt1>LT)?(?P<outside>[2-6][0-9](?:\.[0-9]{{1,2}})?)X(?P<width>[0-9]{{1,2}}(?:\.[0-9]{{1,2}})?)"
    rf"{_BUILD}{_CODE}(?P<lt2>LT)?"
)
_NUMERIC = re.compile(rf"(?P<width>[0-9]{{1,2}}(?:\.[0-9]{{1,2}})?){_BUILD}{_CODE}(?P<lt>LT)?")
_RANGE_WORDS = ("XL", "SL", "HL")
_SPEEDS = "|".join(sorted(SPEED_KMH, key=len, reverse=True))
_SERVICE = re.compile(rf"\(?(?P<single>[0-9]{{2,3}})(?:/(?P<dual>[0-9]{{2,3}}))?(?P<speed>{_SPEEDS})?\)?")
_LETTERS = "BCDEFGHJ"
# A lone letter behind a load index is a load range in these families, else a speed symbol.
_LETTERS_BEHIND = {
    Family.LT_METRIC: "BCDEFG",
    Family.FLOTATION: "BCDEFG",
    Family.LT_NUMERIC: "BCDEFG",
    Family.COMMERCIAL: _LETTERS,
    Family.TRUCK_NUMERIC: _LETTERS,
}


def parse_marking(text: str) -> Marking:
    """Return what a tire marking states. Raises MarkingError.

    Upper or lower case, spaces inside the size and ``x`` or ``×`` are taken; load range (``E``, ``LRE``,
    ``/E``) and the load index with its speed symbol may follow in either order.

    >>> m = parse_marking("LT285/70R17 121/118S")
    >>> m.family.value, m.width_mm, m.aspect, m.load_index, m.load_index_dual, m.speed
    ('lt_metric', 285.0, 70.0, 121, 118, 'S')
    >>> parse_marking("37 x 12.50 r17 lt /D").text
    '37x12.50R17LT D'
    >>> parse_marking("37")
    Traceback (most recent call last):
    wellroom.trade.marking.MarkingError: found '37', expected a tire marking such as 205/55R16, P265/70R16, \
LT285/70R17, 215/75R16C, 37x12.50R17LT, 7.50-16LT or 11R22.5
    """
    if not isinstance(text, str) or len(text) > 60 or (not text.isascii() and "×" not in text):
        raise MarkingError(str(text)[:60], EXPECTED)
    tidy = " ".join(text.upper().replace("×", "X").split())
    head, tail = _split(tidy)
    for pattern, build in ((_METRIC, _metric), (_FLOTATION, _flotation), (_NUMERIC, _numeric)):
        match = pattern.fullmatch(head)
        if match:
            return build(match, text, tail)
    raise MarkingError(text, EXPECTED)


def _split(tidy: str) -> tuple[str, list[str]]:
    """Cut the size from what follows it; spaces within the size are dropped."""
    for pattern in (_METRIC, _FLOTATION, _NUMERIC):
        best: tuple[str, list[str]] | None = None
        words = tidy.split(" ")
        for count in range(1, len(words) + 1):
            joined = "".join(words[:count])
            if pattern.fullmatch(joined):
                best = joined, words[count:]
        if best:
            return best
        # a load range may stick to the size: LT245/75R16/E, 37x12.50R17LTD
        stuck = re.fullmatch(rf"(.*?[0-9CT])/?([{_LETTERS}])((?: .*)?)", tidy)
        if stuck and pattern.fullmatch(stuck[1].replace(" ", "")):
            return stuck[1].replace(" ", ""), [stuck[2], *stuck[3].split()]
    return tidy, []


def _service(
    words: list[str], text: str, family: Family
) -> tuple[str | None, int | None, int | None, str | None]:
    """Read what follows the size: load range, load index, dual index, speed symbol."""
    behind = _LETTERS_BEHIND.get(family, "")
    found: dict[str, str] = {}
    rest = list(words)
    while rest:
        word = rest.pop(0)
        if word == "LR" and rest:
            word = rest.pop(0)
        letter = word.removeprefix("/").removeprefix("LR")
        match = _SERVICE.fullmatch(word)
        if "range" not in found and (letter in _RANGE_WORDS or (len(letter) == 1 and letter in _LETTERS)):
            found["range"] = letter
        elif match and "single" not in found:
            found |= {key: value for key, value in match.groupdict().items() if value}
            if "speed" not in found and rest and rest[0] in SPEED_KMH and rest[0] not in behind:
                found["speed"] = rest.pop(0)
        else:
            raise MarkingError(text, f"a load range or a load index with a speed symbol in place of {word}")
    single, dual = found.get("single"), found.get("dual")
    if single and int(single) > 279:
        raise MarkingError(text, "a load index up to 279")
    if dual and single and int(dual) > int(single):
        raise MarkingError(text, "a dual load index that is not above the single one")
    return (
        found.get("range"),
        int(single) if single else None,
        int(dual) if dual else None,
        found.get("speed"),
    )


def _finish(
    family: Family,
    match: re.Match[str],
    text: str,
    tail: list[str],
    *,
    width_mm: float | None = None,
    width_in: float | None = None,
    aspect: float | None = None,
    outside_in: float | None = None,
) -> Marking:
    load_range, single, dual, speed = _service(tail, text, family)
    code, radial = float(match["code"]), match["build"] in ("R", "ZR")
    if not 8 <= code <= 30:
        raise MarkingError(text, "a rim diameter code from 8 to 30")
    if family is Family.METRIC and (dual is not None or code % 1 or (single or 0) > 121):
        family = Family.COMMERCIAL
    c = bool(match.groupdict().get("c"))
    size = _size_text(family, width_mm, width_in, aspect, outside_in, code, radial, c)
    service = f"{single or ''}{f'/{dual}' if dual else ''}{speed or ''}"
    words = " ".join(word for word in (size, service, load_range) if word)
    return Marking(
        family, width_mm, width_in, aspect, outside_in, code, radial, load_range, single, dual, speed, words
    )


def _metric(match: re.Match[str], text: str, tail: list[str]) -> Marking:
    prefixes = {"LT": Family.LT_METRIC, "P": Family.P_METRIC, "T": Family.T_SPARE, None: Family.METRIC}
    family = Family.COMMERCIAL if match["c"] else prefixes[match["prefix"]]
    aspect = float(match["aspect"]) if match["aspect"] else None
    if aspect is not None and not 20 <= aspect <= 100:
        raise MarkingError(text, "an aspect from 20 to 100 percent")
    if match["c"] and match["prefix"]:
        raise MarkingError(text, f"either {match['prefix']} in front or C behind, not both")
    return _finish(family, match, text, tail, width_mm=float(match["width"]), aspect=aspect)


def _flotation(match: re.Match[str], text: str, tail: list[str]) -> Marking:
    outside, width = float(match["outside"]), float(match["width"])
    if not 4 <= width <= outside / 1.5 or float(match["code"]) > outside - 4:
        raise MarkingError(
            text, "outside diameter x section - rim diameter, each believable, such as 37x12.50R17LT"
        )
    return _finish(Family.FLOTATION, match, text, tail, width_in=width, outside_in=outside)


def _numeric(match: re.Match[str], text: str, tail: list[str]) -> Marking:
    family = Family.LT_NUMERIC if match["lt"] else Family.TRUCK_NUMERIC
    width = float(match["width"])
    if not 3 <= width <= 20:
        raise MarkingError(text, "a section from 3 to 20 in before the rim diameter, such as 7.50-16LT")
    return _finish(family, match, text, tail, width_in=width)


def _size_text(
    family: Family,
    width_mm: float | None,
    width_in: float | None,
    aspect: float | None,
    outside_in: float | None,
    code: float,
    radial: bool,
    c: bool,
) -> str:
    prefix = {Family.P_METRIC: "P", Family.T_SPARE: "T", Family.LT_METRIC: "LT"}.get(family, "")
    if width_mm is not None:
        build = "R" if radial else ("-" if aspect is None else "D")
        ratio = "" if aspect is None else f"/{aspect:g}"
        return f"{prefix}{width_mm:g}{ratio}{build}{code:g}{'C' if c else ''}"
    build = "R" if radial else "-"
    width = 0.0 if width_in is None else width_in
    if family is Family.FLOTATION:
        return f"{outside_in:g}x{width:.2f}{build}{code:g}LT"
    if family is Family.LT_NUMERIC:
        return f"{width:.2f}{build}{code:g}LT"
    return f"{width:g}{build}{code:g}" if code % 1 and not width % 1 else f"{width:.2f}{build}{code:g}"


@dataclass(frozen=True)
class DesignSize:
    """The design size of a marking: diameter, section on the rim asked for, measuring rim, section height.

    ``source`` says what the figures rest on.
    """

    od_mm: float
    section_mm: float
    measuring_rim_in: float
    height_mm: float
    source: str


def design_size(marking: Marking, rim_width_in: float | None = None) -> DesignSize:
    """Return the design size of a marking, on the measuring rim unless ``rim_width_in`` is given.

    Metric: UN R30 6.1.1.1 (S1 + 0.4 (A - A1), to the millimetre on the measuring rim), the rest from memory
    of ISO 4000-1. Flotation: the tabulated row, else from memory of UN R54 the marking less 1/2 in, and by
    the pattern of its rows a section of 25.4 x width on a rim of 0.8 x that width. Numeric: the tabulated row
    only. Raises UnknownSize.

    >>> design_size(parse_marking("LT285/70R17"))
    DesignSize(od_mm=832.0, section_mm=292.0, measuring_rim_in=8.5, height_mm=200.0, source='formula')
    >>> round(design_size(parse_marking("31x10.50R15LT"), 7.0).section_mm, 1)
    252.8
    """
    code = marking.rim_code
    row = TABULATED.get(marking.size) or (
        TABULATED.get(marking.size.replace("-", "R")) if marking.family is not Family.TRUCK_NUMERIC else None
    )
    if marking.width_mm is not None and marking.aspect is not None:
        rim = measuring_rim_in(marking.width_mm, marking.aspect, code)
        od = design_diameter_mm(marking.width_mm, marking.aspect, code)
        section = design_section_mm(marking.width_mm, marking.aspect, rim, code)
        height = section_height_mm(marking.width_mm, marking.aspect)
        source = "formula"
    elif row:
        rim, od, section, source = row.measuring_rim_in, float(row.od_mm), float(row.section_mm), row.status
        height = (od - float(nominal_diameter_mm(code))) / 2.0
    elif marking.outside_in is not None and marking.width_in is not None:
        rim = half_up(1.6 * marking.width_in) / 2.0
        od = float(math.ceil(round(marking.outside_in * MM_PER_IN - MM_PER_IN / 2.0, 6)))
        section = float(half_up(round(marking.width_in * MM_PER_IN, 6)))
        height, source = (od - float(nominal_diameter_mm(code))) / 2.0, "pattern"
    else:
        raise UnknownSize(marking.text, "a size with a formula or in the tables; give the maker's dimensions")
    if rim_width_in is not None:
        section = float(section_on_rim(section, rim, rim_width_in))
    return DesignSize(od, section, rim, height, source)


def approved_rims_in(marking: Marking) -> tuple[float, float] | None:
    """Return the least and greatest approved rim width, in, as far as they are tabulated, else None.

    From memory of TRA and UN R54, or seen, as ``sizes`` says row by row. The tire's maker decides.

    >>> approved_rims_in(parse_marking("LT285/70R17")), approved_rims_in(parse_marking("LT305/65R18"))
    ((7.5, 9.0), None)
    """
    metric = APPROVED_METRIC_RIMS.get(marking.size)
    if metric:
        return metric[0], metric[1]
    row = TABULATED.get(marking.size)
    if row is None and marking.family is not Family.TRUCK_NUMERIC:
        row = TABULATED.get(marking.size.replace("-", "R"))
    return row.rims_in if row else None


@dataclass(frozen=True)
class RimSize:
    """A rim size: diameter code, nominal width in inches, flange letter when one was written."""

    code: float
    width_in: float
    flange: str | None

    @property
    def text(self) -> str:
        """The size as the shop says it, diameter first: ``16x7J``."""
        return f"{self.code:g}x{self.width_in:g}{self.flange or ''}"


_RIM = re.compile(r"(?P<code>[0-9]{2}(?:\.5)?)X(?P<width>[0-9]{1,2}(?:\.[0-9]{1,2})?)(?P<flange>JJ|J|K|B)?")
_RIM_ISO = re.compile(
    r"(?P<width>[0-9]{1,2}(?:\.[0-9]{1,2})?)(?P<flange>JJ|J|K|B)X(?P<code>[0-9]{2}(?:\.5)?)"
)


def parse_rim(text: str) -> RimSize:
    """Return a rim size written ``20x11``, ``16x7J`` or, with the letter, ``7Jx16``. Raises MarkingError.

    A width greater than the diameter is refused as typed the wrong way round.

    >>> parse_rim("20 x 11"), parse_rim("7Jx16").text
    (RimSize(code=20.0, width_in=11.0, flange=None), '16x7J')
    >>> parse_rim("11x20")
    Traceback (most recent call last):
    wellroom.trade.marking.MarkingError: found '11x20', expected the diameter first, then the width: 20x11
    """
    expected = "a rim size, diameter first, such as 20x11 or 16x7J"
    if not isinstance(text, str):
        raise MarkingError(str(text)[:60], expected)
    tidy = "".join(text.upper().replace("×", "X").split())
    match = _RIM.fullmatch(tidy) or _RIM_ISO.fullmatch(tidy)
    if not match:
        raise MarkingError(text, expected)
    code, width = float(match["code"]), float(match["width"])
    if width > code and 8 <= width <= 30:
        raise MarkingError(text, f"the diameter first, then the width: {width:g}x{code:g}")
    if not 8 <= code <= 30 or not 2 <= width <= 24:
        raise MarkingError(text, f"{expected}; diameter 8 to 30 in, width 2 to 24 in")
    return RimSize(code, width, match["flange"])
