"""Write the shipped catalogs: ``python tests/tools/make_catalogs.py [FOLDER]``.

Deterministic: the same bytes every time (a test says so). Sizes follow the standards through
``wellroom.trade``, everything that a maker would decide is scattered by a hash of the row's id.
"""

from __future__ import annotations

import csv
import hashlib
import io
import re
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

if __package__ in (None, ""):  # run as a script: find the data beside this file
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from tools import catalog_hardware as hardware
from tools import catalog_tires as tires
from tools.catalog_readme import readme
from wellroom.catalog.spec import TABLES, Table
from wellroom.trade.load import load_index_kg, speed_kmh
from wellroom.trade.marking import UnknownSize, design_size, parse_marking
from wellroom.trade.rim import bead_seat_deg, overall_width_mm, seat_diameter_mm
from wellroom.trade.sizes import APPROVED_METRIC_RIMS
from wellroom.trade.tire import FIFTEEN_DEGREE_WIDTHS_IN, measuring_rim_in, nominal_diameter_mm

Row = dict[str, str]

REMARK = "# Invented data for trying the program: makers, lines, ratings, masses and prices are made up.\n"


def scatter(row: str, what: str, low: float, high: float) -> float:
    """Return a number from ``low`` to ``high`` that depends on the row's id and on what it is for."""
    digest = hashlib.sha256(f"{row}/{what}".encode()).digest()
    return low + (high - low) * int.from_bytes(digest[:6], "big") / 2**48


def plain(value: float, digits: int = 1) -> str:
    """Write a number without trailing zeros."""
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def price(value: float) -> str:
    """Write a price, to the half."""
    return f"{round(value * 2) / 2:.2f}"


# --- tires ------------------------------------------------------------------------------------------------

GROUPS: Mapping[str, str] = {
    "passenger": tires.PASSENGER,
    "p_metric": tires.P_METRIC,
    "lt": tires.LT,
    "flotation": tires.FLOTATION,
    "flotation_bias": tires.FLOTATION_BIAS,
    "commercial": tires.COMMERCIAL,
    "multipurpose": tires.MULTIPURPOSE,
    "truck": tires.TRUCK,
    "classic": tires.CLASSIC,
    "classic_truck": tires.CLASSIC_TRUCK,
}

#: kg per m3 of the ring that the tire fills, by group.
DENSITY = {"passenger": 240, "p_metric": 215, "lt": 205, "flotation": 200, "flotation_bias": 205,
           "commercial": 285, "multipurpose": 285, "truck": 300,
           "classic": 235, "classic_truck": 290}  # fmt: skip

#: Price of a kg, by group.
PER_KG = {"passenger": 11.5, "p_metric": 10.5, "lt": 9.5, "flotation": 11.0, "flotation_bias": 9.5,
          "commercial": 7.5, "multipurpose": 9.0, "truck": 7.2,
          "classic": 8.5, "classic_truck": 8.0}  # fmt: skip


def tire_rows() -> Iterator[Row]:
    """Yield every tire."""
    for line in tires.LINES:
        for group in line.groups:
            source = "truck" if group == "truck_tall" else group
            for text in GROUPS[source].split("\n"):
                if text and (group != "truck_tall" or text.split()[0] in tires.TRUCK_TALL):
                    row = tire_row(line, source, text.split())
                    if row is not None:
                        yield row


def tire_row(line: tires.Line, group: str, words: list[str]) -> Row | None:
    """Return one tire of a line, or None when the line leaves this size out."""
    size = words[0]
    marking = parse_marking(size)
    load_range = words[1] if group.startswith(("lt", "flotation")) else ""
    service = re.fullmatch(r"(\d+)([A-Z]*)", words[2] if load_range else words[1])
    assert service is not None
    index, symbol = int(service[1]), service[2] or line.speed
    row = f"{line.name}-{size}-{index}".lower().replace("/", "-")
    if scatter(row, "offered", 0, 100) >= line.keep:
        return None
    least, measuring, most = rims(size, group, words)
    od, section = nominal_size(size, measuring)
    nominal = float(nominal_diameter_mm(marking.rim_code))
    height = (od - nominal) / 2
    bias = not marking.radial
    wide = section > 305
    od_min = nominal + 2 * height * scatter(row, "od_min", 0.975, 0.996)
    od_max = nominal + 2 * height * scatter(row, "od_max", 1.006, 1.05 if bias else 1.028)
    section_max = section * scatter(row, "section_max", 1.008, 1.018 if wide and not bias else 1.035)
    section_min = section * scatter(row, "section_min", 0.972, 0.994)
    ring = (od**2 - nominal**2) * section * 0.7854e-9
    mass = ring * DENSITY[group] * line.mass * scatter(row, "mass", 0.95, 1.05)
    rounded = line.shoulder == "round"
    tube = group == "classic_truck" or group == "classic" or (group == "truck" and marking.rim_code == 20)
    return {
        "id": row, "maker": line.maker, "line": line.name, "size": size, "kind": line.kind,
        "construction": "bias" if bias else "radial", "rim_code": plain(marking.rim_code),
        "measuring_rim_in": plain(measuring, 2), "rim_min_in": plain(least, 2), "rim_max_in": plain(most, 2),
        "od_min_mm": plain(od_min), "od_nominal_mm": plain(od), "od_max_mm": plain(od_max),
        "section_min_mm": plain(section_min), "section_nominal_mm": plain(section),
        "section_max_mm": plain(section_max), "shoulder": line.shoulder,
        "tread_width_mm": plain(section * line.tread_share * scatter(row, "tread", 0.97, 1.03), 0),
        "shoulder_height_mm": plain(height * scatter(row, "drop", 0.08, 0.14), 0) if rounded else "0",
        "side_lug_mm": plain(section * scatter(row, "lug", 0.012, 0.03), 0) if line.kind == "mud" else "0",
        "bead_seat_deg": str(bead_seat_deg(marking.rim_code)), "tube": "tube" if tube else "tubeless",
        "passenger": "yes" if group in ("passenger", "p_metric") else "no",
        "load_index": str(index), "load_kg": plain(load_index_kg(index)),
        "pressure_kpa": plain(pressure(group, words, marking.aspect or 0, section)),
        "speed_symbol": min(symbol, line.speed, key=speed_kmh),
        "mass_kg": plain(mass),
        "price": price(mass * PER_KG[group] * line.price * scatter(row, "price", 0.93, 1.07)),
    }  # fmt: skip


def rims(size: str, group: str, words: list[str]) -> tuple[float, float, float]:
    """Return the least, measuring and largest approved rim width, in."""
    marking = parse_marking(size)
    if group.startswith("flotation"):
        assert marking.width_in is not None
        least, measuring, most = tires.FLOTATION_RIMS_IN[marking.width_in]
        return least, measuring, most
    if marking.width_in is not None:
        return float(words[3]), float(words[4]), float(words[5])
    assert marking.width_mm is not None
    assert marking.aspect is not None
    measuring = measuring_rim_in(marking.width_mm, marking.aspect, marking.rim_code)
    if size in APPROVED_METRIC_RIMS:
        return APPROVED_METRIC_RIMS[size][0], measuring, APPROVED_METRIC_RIMS[size][1]
    if marking.rim_code % 1:
        place = FIFTEEN_DEGREE_WIDTHS_IN.index(measuring)
        return measuring, measuring, FIFTEEN_DEGREE_WIDTHS_IN[place + 1]
    if group == "multipurpose":
        return measuring - 0.5, measuring, measuring + (2.0 if measuring >= 9 else 1.0)
    narrow, broad = _approved(marking.aspect, group)
    return measuring - narrow, measuring, measuring + broad


def _approved(aspect: float, group: str) -> tuple[float, float]:
    """Return how far the approved widths reach below and above the measuring rim, as the known ones do."""
    if aspect >= 75:
        return (0.5, 1.0) if group in ("lt", "commercial") else (0.5, 1.5)
    if aspect >= 60:
        return (1.0, 0.5) if group in ("lt", "commercial") else (0.5, 1.0)
    return (1.0, 1.0) if aspect >= 50 else (0.5, 1.0)


def nominal_size(size: str, measuring: float) -> tuple[float, float]:
    """Return the outer diameter and the section on the measuring rim, mm: the standard's where tabled."""
    try:
        design = design_size(parse_marking(size), measuring)
    except UnknownSize:
        return tires.FROM_MEMORY_MM[size]
    return float(design.od_mm), float(design.section_mm)


def pressure(group: str, words: list[str], aspect: float, section: float) -> float:
    """Return the pressure that carries the load, kPa."""
    if group == "p_metric":
        return 240
    if group == "passenger":
        return 290 if aspect < 50 else 250
    if group == "lt":
        wide = (parse_marking(words[0]).width_mm or 0) > 295
    elif group.startswith("flotation"):
        wide = (parse_marking(words[0]).width_in or 0) > 11.5
    else:
        return float(words[2])
    return (tires.PRESSURE_WIDE_KPA if wide else tires.PRESSURE_KPA)[words[1]]


# --- rims, wheels, adapters, gears ------------------------------------------------------------------------


def barrel_cells(
    barrel: hardware.Barrel, code: float, side: str, disc: float, pad: float, meets: float
) -> Row:
    """Return the cells that blanks and wheels share.

    The disc is flat to ``pad`` and meets the barrel ``meets`` mm outboard of the mounting face.
    """
    inside = float(seat_diameter_mm(code)) / 2 - barrel.depth - barrel.metal
    pad = min(pad, inside - 34)
    middle = (pad + inside) / 2
    outline = [(24.0, 0.0), (pad, 0.0), (middle, meets * 0.4), (inside - 2, meets)]
    return {
        "flange_in_mm": plain(barrel.flange), "flange_out_mm": plain(barrel.flange),
        "flange_height_mm": plain(barrel.flange_height), "bead_seat_deg": str(bead_seat_deg(code)),
        "metal_mm": plain(barrel.metal), "drop_depth_mm": plain(barrel.depth),
        "drop_flat_mm": plain(barrel.flat), "drop_side": side,
        "drop_from_flange_mm": plain(barrel.from_flange), "drop_ramp_mm": plain(barrel.ramp),
        "disc_thickness_mm": plain(disc),
        "disc_outline": ";".join(f"{plain(radius)}:{plain(place)}" for radius, place in outline),
    }  # fmt: skip


def blank_rows() -> Iterator[Row]:
    """Yield every blank."""
    for blank in hardware.BLANKS:
        for code in blank.codes:
            for side in blank.sides:
                larger = code / 16
                yield {
                    "id": f"{blank.id}-{blank.material}-{plain(code)}-{side}", "maker": blank.maker,
                    "material": blank.material, "rim_code": plain(code),
                    "width_min_in": plain(blank.widths[0], 2), "width_max_in": plain(blank.widths[1], 2),
                    "width_step_in": plain(blank.widths[2], 2),
                    **barrel_cells(blank.barrel, code, side, blank.disc, blank.pad, 14.0),
                    "bore_min_mm": plain(blank.bore[0]), "bore_max_mm": plain(blank.bore[1]),
                    "bolt_circle_min_mm": plain(blank.circle[0]),
                    "bolt_circle_max_mm": plain(blank.circle[1]),
                    "studs": blank.studs, "backspace_min_mm": plain(blank.backspace_min),
                    "front_space_min_mm": plain(blank.front_space_min), "load_kg": plain(blank.load),
                    "pressure_kpa": plain(blank.pressure), "tube_ok": blank.tube,
                    "mass_base_kg": plain(blank.mass[0] * larger, 2),
                    "mass_per_in_kg": plain(blank.mass[1] * larger, 2),
                    "price_base": price(blank.price[0] * larger),
                    "price_per_in": price(blank.price[1] * larger),
                }  # fmt: skip


def wheel_rows() -> Iterator[Row]:
    """Yield every stocked wheel."""
    for line in hardware.WHEEL_LINES:
        for size in line.sizes.split():
            code, width, inset = (float(word) for word in re.split("[x@]", size))
            front = float(overall_width_mm(width, line.barrel.flange, line.barrel.flange)) / 2 - inset
            for pattern in line.patterns.split():
                circle, bore = pattern.split("/")
                studs, circle = circle.split("x")
                row = f"{line.name}-{size}-{studs}x{circle}".lower().replace(" ", "-").replace("@", "-is")
                mass = line.density * width * code / 16 * scatter(row, "mass", 0.97, 1.03)
                yield {
                    "id": row, "maker": line.maker, "line": line.name, "material": line.material,
                    "rim_code": plain(code), "width_in": plain(width, 2),
                    **barrel_cells(line.barrel, code, line.side, line.disc, line.pad,
                                   min(16.0, front - line.disc - 8)),
                    "inset_mm": plain(inset), "studs": studs, "bolt_circle_mm": circle, "bore_mm": bore,
                    "hole_mm": plain(line.hole), "load_kg": plain(line.load),
                    "pressure_kpa": plain(line.pressure),
                    "tube_ok": line.tube, "mass_kg": plain(mass),
                    "price": price(mass * line.price * scatter(row, "price", 0.95, 1.05)),
                }  # fmt: skip


def adapter_rows() -> Iterator[Row]:
    """Yield every adapter."""
    for text in hardware.ADAPTERS.strip().split("\n"):
        hub, hub_circle, wheel, wheel_circle, thickness, bore, pilot, hole, load, mass = text.split()
        row = f"pinfold-{hub}x{hub_circle}-to-{wheel}x{wheel_circle}"
        yield {
            "id": row, "maker": "Pinfold Machine", "hub_studs": hub, "hub_bolt_circle_mm": hub_circle,
            "wheel_studs": wheel, "wheel_bolt_circle_mm": wheel_circle, "thickness_mm": thickness,
            "bore_mm": bore, "pilot_mm": pilot, "hole_mm": hole, "load_kg": load, "mass_kg": mass,
            "price": price(38 + 11 * float(mass) * scatter(row, "price", 0.95, 1.05)),
        }  # fmt: skip


def gearset_rows() -> Iterator[Row]:
    """Yield every ring and pinion."""
    for family, text in hardware.GEARSETS.items():
        base, fitting = hardware.GEAR_PRICES[family]
        for teeth in text.split():
            ring, pinion = (int(word) for word in teeth.rstrip("*").split("/"))
            row = f"{family}-{ring / pinion:.2f}"
            yield {
                "id": row, "maker": "Cogholm Gear", "gear_family": family, "ratio": f"{ring / pinion:.3f}",
                "ring_teeth": str(ring), "pinion_teeth": str(pinion),
                "carrier": "tall" if teeth.endswith("*") else "short",
                "price": price(base * scatter(row, "price", 0.94, 1.08)), "fitting_price": price(fitting),
            }  # fmt: skip


ROWS = {
    "tires": tire_rows,
    "blanks": blank_rows,
    "wheels": wheel_rows,
    "adapters": adapter_rows,
    "gearsets": gearset_rows,
}


def table_text(table: Table) -> str:
    """Return one catalog file, rows in the order of their ids."""
    out = io.StringIO()
    out.write(REMARK)
    writer = csv.DictWriter(out, table.names, lineterminator="\n")
    writer.writeheader()
    writer.writerows(sorted(ROWS[table.name](), key=lambda row: row["id"]))
    return out.getvalue()


def files() -> dict[str, str]:
    """Return every file of the catalogs by name."""
    made = {f"{table.name}.csv": table_text(table) for table in TABLES}
    return {**made, "README.md": readme(tires.FROM_MEMORY_MM)}


def main() -> None:
    """Write the catalogs into the folder named on the command line, else into the checkout's."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).resolve().parents[2] / "catalogs"
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in files().items():
        (folder / name).write_text(text, encoding="utf-8", newline="\n")
        print(f"{name}: {text.count(chr(10))} lines")


if __name__ == "__main__":
    main()
