"""What must hold between the columns of one row: rules as data, each judged on whole columns.

A rule says something only where every cell it reads is good in itself, so that one slip is one fault. The
bounds here tell slips (a swapped column, an inch in a mm column, a digit too many) from data; they are not
the requirements that a combination has to meet.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from wellroom.catalog.cells import parse_outline
from wellroom.catalog.check import Bools, Checked, Values
from wellroom.catalog.spec import RIM_CODES
from wellroom.trade.load import load_index_kg
from wellroom.trade.marking import MarkingError, UnknownSize, design_size, parse_marking
from wellroom.trade.rim import seat_diameter_mm

Row = Mapping[str, Values]

#: How far the face of a dished wheel may stand outboard of the outer flange, mm (wheels for dual fitting).
DISHED_MM = 100.0

#: How far a maker's nominal size may stand from the standard's for the marking, as a share.
NOMINAL_OD_SHARE, NOMINAL_SECTION_SHARE = 0.03, 0.08


@dataclass(frozen=True)
class Rule:
    """``bad`` marks the rows where ``column`` breaks the rule; it reads ``column`` and ``needs`` only.

    ``expected`` is filled with the row's cells (as written) and the derived values that it names; columns of
    ``needs`` that it does not name are added, so that a fault always names the cell that is really wrong.
    """

    column: str
    needs: tuple[str, ...]
    bad: Callable[[Row], Bools]
    expected: str


def check_rows(checked: Checked) -> None:
    """Judge the rows of ``checked`` by the rules of its table; faults are added to it."""
    derive = _DERIVE.get(checked.raw.table.name)
    derived = derive(checked) if derive else {}
    values = {**checked.values, **derived}
    for rule in RULES[checked.raw.table.name]:
        cells = [name for name in (rule.column, *rule.needs) if name not in derived]
        rows = checked.all_ok(*cells)
        if not rows.any():
            continue
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            bad = rows & rule.bad(values)
        if bad.any():
            checked.report(rule.column, bad, _wording(rule, checked, derived))


def _wording(rule: Rule, checked: Checked, derived: Mapping[str, Values]) -> Callable[[int], str]:
    def word(row: int) -> str:
        texts = {
            name: _plain(derived[name][row]) if name in derived else checked.text(name, row).strip()
            for name in (rule.column, *rule.needs)
        }
        text = rule.expected.format_map(texts)
        unsaid = [name for name in rule.needs if name not in derived and f"{name} =" not in text]
        return text + (f" (with {', '.join(f'{name} = {texts[name]}' for name in unsaid)})" if unsaid else "")

    return word


def _plain(value: object) -> str:
    return f"{value:.6g}" if isinstance(value, float) else str(value)


# --- derived values: read once per different marking, rim code or outline ---------------------------------


def _seat_radius(checked: Checked) -> dict[str, Values]:
    """Physical bead seat radius, mm, by rim code; NaN where the code is not good."""
    codes = checked.values.get("rim_code")
    if codes is None:
        return {}
    radius = {code: float(seat_diameter_mm(code)) / 2 for code in set(codes.tolist()) & set(RIM_CODES)}
    return {"seat_radius": np.array([radius.get(code, math.nan) for code in codes.tolist()])}


def _with_outline(checked: Checked) -> dict[str, Values]:
    derived = _seat_radius(checked)
    outlines = checked.values.get("disc_outline")
    if outlines is not None:
        good = checked.ok["disc_outline"].tolist()
        different = {text for text, is_ok in zip(outlines, good, strict=True) if is_ok}
        last = {text: parse_outline(text)[-1][0] for text in different}
        derived["outline_radius"] = np.array([last.get(text, math.nan) for text in outlines])
    return derived


@dataclass(frozen=True)
class _Reading:
    """What a marking says, and the standard's size for it on the measuring rim (NaN: not tabled)."""

    fault: str = ""
    family: str = ""
    rim_code: float = math.nan
    construction: str = ""
    width_mm: float = math.nan
    load_index: float = math.nan
    speed_symbol: str = ""
    od: float = math.nan
    section: float = math.nan


def _read_marking(size: str, measuring_rim_in: float) -> _Reading:
    try:
        marking = parse_marking(size)
    except MarkingError as error:
        return _Reading(fault=error.expected)
    od = section = math.nan
    try:
        design = design_size(marking, measuring_rim_in if math.isfinite(measuring_rim_in) else None)
        od, section = float(design.od_mm), float(design.section_mm)
    except UnknownSize:
        pass
    width_in = marking.width_in
    return _Reading(
        family=str(marking.family), rim_code=float(marking.rim_code),
        construction="radial" if marking.radial else "bias",
        width_mm=width_in * 25.4 if width_in is not None and str(marking.family) != "flotation" else math.nan,
        load_index=math.nan if marking.load_index is None else float(marking.load_index),
        speed_symbol=marking.speed or "", od=od, section=section,
    )  # fmt: skip


def _marking(checked: Checked) -> dict[str, Values]:
    derived: dict[str, Values] = {}
    sizes = checked.values.get("size")
    if sizes is not None:
        count = len(sizes)
        rims = checked.values.get("measuring_rim_in", np.full(count, math.nan))
        rims = np.where(checked.all_ok("measuring_rim_in"), rims, math.nan)
        keys = list(
            zip(sizes.tolist(), np.nan_to_num(rims).tolist(), checked.ok["size"].tolist(), strict=True)
        )
        place = {key: number for number, key in enumerate(dict.fromkeys(keys))}
        which = np.fromiter((place[key] for key in keys), dtype=np.intp, count=count)
        readings = [_read_marking(size, rim or math.nan) if good else _Reading() for size, rim, good in place]
        for name in ("fault", "family", "construction", "speed_symbol"):
            derived[f"marked_{name}"] = np.array([getattr(r, name) for r in readings], dtype=object)[which]
        for name in ("rim_code", "width_mm", "load_index", "od", "section"):
            derived[f"marked_{name}"] = np.array([getattr(r, name) for r in readings], dtype=np.float64)[
                which
            ]
    indexes = checked.values.get("load_index")
    if indexes is not None:
        good_index = checked.ok["load_index"].tolist()
        table = {i: float(load_index_kg(int(i)))
                 for i, is_ok in set(zip(indexes.tolist(), good_index, strict=True)) if is_ok}  # fmt: skip
        derived["table_kg"] = np.array([table.get(index, math.nan) for index in indexes.tolist()])
    return derived


_DERIVE: dict[str, Callable[[Checked], dict[str, Values]]] = {
    "tires": _marking,
    "blanks": _with_outline,
    "wheels": _with_outline,
}


# --- rules ----------------------------------------------------------------------------------------------


def _not_above(column: str, other: str) -> Rule:
    return Rule(column, (other,), lambda r: r[column] > r[other], f"at most {other} = {{{other}}}")


def _near(column: str, other: str, share: float) -> Rule:
    return Rule(column, (other,), lambda r: np.abs(r[column] / r[other] - 1) > share,
                f"within {share * 100:g} % of {other} = {{{other}}}")  # fmt: skip


def _is_one_of(values: Values, *words: str) -> Bools:
    return np.isin(values.astype(str), words)


def _broken(steps: Values) -> Bools:
    return np.asarray(np.abs(steps - np.round(steps)) > 1e-6)


def _half(code: Values) -> Bools:
    return np.asarray(code != np.floor(code))


_SEAT = Rule("bead_seat_deg", ("rim_code",),
             lambda r: (r["bead_seat_deg"] == "15") != _half(r["rim_code"]),
             "5 for a whole rim code, 15 for a half one")  # fmt: skip

_TIRES = (
    Rule("size", ("marked_fault",), lambda r: r["marked_fault"] != "", "{marked_fault}"),
    Rule("rim_code", ("size", "marked_rim_code"), lambda r: np.abs(r["rim_code"] - r["marked_rim_code"]) > 0,
         "{marked_rim_code} as marked"),
    Rule("construction", ("size", "marked_construction"),
         lambda r: (r["marked_construction"] != "") & (r["construction"] != r["marked_construction"]),
         "{marked_construction} as marked"),
    Rule("load_index", ("size", "marked_load_index"),
         lambda r: np.abs(r["load_index"] - r["marked_load_index"]) > 0,
         "{marked_load_index} as marked"),
    Rule("speed_symbol", ("size", "marked_speed_symbol"),
         lambda r: (r["marked_speed_symbol"] != "") & (r["speed_symbol"] != r["marked_speed_symbol"]),
         "{marked_speed_symbol} as marked"),
    _SEAT,
    _not_above("rim_min_in", "measuring_rim_in"),
    _not_above("measuring_rim_in", "rim_max_in"),
    Rule("rim_min_in", ("section_nominal_mm",),
         lambda r: r["rim_min_in"] * 25.4 < 0.5 * r["section_nominal_mm"],
         "at least half the section (rims are in inches)"),
    Rule("rim_max_in", ("section_nominal_mm",),
         lambda r: r["rim_max_in"] * 25.4 > 1.1 * r["section_nominal_mm"],
         "hardly more than the section (rims are in inches)"),
    _not_above("od_min_mm", "od_nominal_mm"),
    _not_above("od_nominal_mm", "od_max_mm"),
    _near("od_min_mm", "od_nominal_mm", 0.1),
    _near("od_max_mm", "od_nominal_mm", 0.1),
    _not_above("section_min_mm", "section_nominal_mm"),
    _not_above("section_nominal_mm", "section_max_mm"),
    _near("section_min_mm", "section_nominal_mm", 0.15),
    _near("section_max_mm", "section_nominal_mm", 0.15),
    Rule("od_nominal_mm", ("size", "marked_od"),
         lambda r: np.abs(r["od_nominal_mm"] / r["marked_od"] - 1) > NOMINAL_OD_SHARE,
         f"within {NOMINAL_OD_SHARE * 100:g} % of the standard's {{marked_od}}"),
    Rule("section_nominal_mm", ("size", "measuring_rim_in", "marked_section"),
         lambda r: np.abs(r["section_nominal_mm"] / r["marked_section"] - 1) > NOMINAL_SECTION_SHARE,
         f"within {NOMINAL_SECTION_SHARE * 100:g} % of the standard's {{marked_section}}"),
    Rule("section_nominal_mm", ("size", "marked_width_mm"),
         lambda r: (r["section_nominal_mm"] < 0.9 * r["marked_width_mm"])
         | (r["section_nominal_mm"] > 1.25 * r["marked_width_mm"]),
         "0.9 to 1.25 times the {marked_width_mm} mm of the marking"),
    Rule("od_nominal_mm", ("rim_code", "section_nominal_mm"),
         lambda r: r["od_nominal_mm"] < r["rim_code"] * 25.4 + 0.4 * r["section_nominal_mm"],
         "more than a rim and a tire's height"),
    _not_above("tread_width_mm", "section_max_mm"),
    Rule("shoulder_height_mm", ("shoulder",),
         lambda r: (r["shoulder"] == "square") & (r["shoulder_height_mm"] > 0),
         "0 for a square shoulder"),
    Rule("shoulder_height_mm", ("od_nominal_mm", "rim_code"),
         lambda r: r["shoulder_height_mm"] > 0.3 * (r["od_nominal_mm"] - r["rim_code"] * 25.4),
         "at most 0.6 of the section height"),
    Rule("passenger", ("size", "marked_family"),
         lambda r: (r["passenger"] == "no") & _is_one_of(r["marked_family"], "p_metric", "t_spare"),
         "yes, by its marking"),
    Rule("passenger", ("size", "marked_family", "load_index"),
         lambda r: (r["passenger"] == "no") & (r["load_index"] <= 112)
         & _is_one_of(r["marked_family"], "metric"),
         "yes: a metric size with such a load index and no C is a passenger tire"),
    Rule("load_kg", ("load_index", "table_kg"), lambda r: np.abs(r["load_kg"] / r["table_kg"] - 1) > 0.01,
         "within 1 % of {table_kg} kg, the load index table's"),
)  # fmt: skip

_BARREL = (
    _SEAT,
    Rule("drop_depth_mm", ("metal_mm", "rim_code", "seat_radius"),
         lambda r: r["drop_depth_mm"] + r["metal_mm"] > 0.3 * r["seat_radius"],
         "a depth well below the seat radius of {seat_radius} mm"),
    Rule("drop_from_flange_mm", ("drop_flat_mm", "drop_ramp_mm"),
         lambda r: r["drop_from_flange_mm"] - r["drop_flat_mm"] / 2 - r["drop_ramp_mm"] < 10,
         "10 mm of bead seat or more between the flange and the slope"),
    Rule("disc_outline", ("rim_code", "metal_mm", "seat_radius", "outline_radius"),
         lambda r: r["outline_radius"] > r["seat_radius"] - r["metal_mm"],
         "an outline that ends inside the barrel, whose seat radius is {seat_radius} mm"),
)  # fmt: skip

_BLANKS = (
    *_BARREL,
    _not_above("width_min_in", "width_max_in"),
    Rule("width_step_in", ("width_min_in", "width_max_in"),
         lambda r: _broken((r["width_max_in"] - r["width_min_in"]) / r["width_step_in"]),
         "a step that leads from the least width to the largest"),
    Rule("drop_from_flange_mm", ("width_min_in", "drop_flat_mm", "drop_ramp_mm"),
         lambda r: r["drop_from_flange_mm"] + r["drop_flat_mm"] / 2 + r["drop_ramp_mm"]
         > r["width_min_in"] * 25.4 - 10,
         "10 mm of bead seat or more beyond the slope"),
    _not_above("bore_min_mm", "bore_max_mm"),
    _not_above("bolt_circle_min_mm", "bolt_circle_max_mm"),
    Rule("bore_max_mm", ("bolt_circle_max_mm",), lambda r: r["bore_max_mm"] >= r["bolt_circle_max_mm"],
         "less than bolt_circle_max_mm = {bolt_circle_max_mm}"),
    Rule("bolt_circle_max_mm", ("drop_depth_mm", "metal_mm", "rim_code", "seat_radius"),
         lambda r: r["bolt_circle_max_mm"] / 2 >= r["seat_radius"] - r["drop_depth_mm"] - r["metal_mm"],
         "a circle inside the drop centre"),
    Rule("front_space_min_mm", ("backspace_min_mm", "width_min_in", "flange_in_mm", "flange_out_mm"),
         lambda r: r["front_space_min_mm"] + r["backspace_min_mm"]
         > r["width_min_in"] * 25.4 + r["flange_in_mm"] + r["flange_out_mm"],
         "with the least backspace no more than the overall width of the least rim"),
)  # fmt: skip

_WHEELS = (
    *_BARREL,
    Rule("drop_from_flange_mm", ("width_in", "drop_flat_mm", "drop_ramp_mm"),
         lambda r: r["drop_from_flange_mm"] + r["drop_flat_mm"] / 2 + r["drop_ramp_mm"]
         > r["width_in"] * 25.4 - 10,
         "10 mm of bead seat or more beyond the slope"),
    Rule("inset_mm", ("width_in", "flange_in_mm", "flange_out_mm"),
         lambda r: (r["inset_mm"] > r["width_in"] * 12.7 + r["flange_out_mm"] + DISHED_MM)
         | (-r["inset_mm"] > r["width_in"] * 12.7 + r["flange_in_mm"]),
         f"a face between the flanges, or up to {DISHED_MM:g} mm outboard of them"),
    Rule("hole_mm", ("studs", "bolt_circle_mm"),
         lambda r: r["hole_mm"] >= r["bolt_circle_mm"] * np.sin(np.pi / r["studs"]),
         "metal between the holes"),
    Rule("bore_mm", ("bolt_circle_mm", "hole_mm"),
         lambda r: r["bore_mm"] >= r["bolt_circle_mm"] - r["hole_mm"],
         "metal between the bore and the holes"),
    Rule("bolt_circle_mm", ("hole_mm", "drop_depth_mm", "metal_mm", "rim_code", "seat_radius"),
         lambda r: (r["bolt_circle_mm"] + r["hole_mm"]) / 2
         >= r["seat_radius"] - r["drop_depth_mm"] - r["metal_mm"],
         "holes inside the drop centre"),
)  # fmt: skip

_ADAPTERS = (
    Rule("bore_mm", ("hub_bolt_circle_mm", "hole_mm"),
         lambda r: r["bore_mm"] >= r["hub_bolt_circle_mm"] - r["hole_mm"],
         "metal between the bore and the holes"),
    Rule("hole_mm", ("hub_studs", "hub_bolt_circle_mm"),
         lambda r: r["hole_mm"] >= r["hub_bolt_circle_mm"] * np.sin(np.pi / r["hub_studs"]),
         "metal between the holes"),
    Rule("pilot_mm", ("wheel_bolt_circle_mm",), lambda r: r["pilot_mm"] >= r["wheel_bolt_circle_mm"],
         "less than wheel_bolt_circle_mm = {wheel_bolt_circle_mm}"),
)  # fmt: skip

_GEARSETS = (
    Rule("ratio", ("ring_teeth", "pinion_teeth"),
         lambda r: np.abs(r["ratio"] - r["ring_teeth"] / r["pinion_teeth"]) > 0.006,
         "ring teeth over pinion teeth, to two decimals or more"),
)  # fmt: skip

RULES: dict[str, tuple[Rule, ...]] = {
    "tires": _TIRES,
    "blanks": _BLANKS,
    "wheels": _WHEELS,
    "adapters": _ADAPTERS,
    "gearsets": _GEARSETS,
}
