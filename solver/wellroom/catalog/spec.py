"""The columns of the catalogs, as data: one :class:`Column` each, one :class:`Table` per kind of file.

Everything else reads this: the loader checks by it, the generator writes by it, the documentation is made
from it. To add a column, add it here, give it to the generator and say in its description what it means.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal["id", "text", "size", "choice", "number", "integer", "code", "studs", "outline"]

#: Rim diameter codes that the catalogs know. Whole codes have 5-degree bead seats, half codes 15-degree ones
#: (standards: ISO 4000-1 nominal diameters, from memory).
RIM_CODES: tuple[float, ...] = (
    10, 12, 13, 14, 14.5, 15, 16, 16.5, 17, 17.5, 18, 19, 19.5, 20, 21, 22, 22.5, 24, 24.5,
)  # fmt: skip

#: Speed symbols in the order of their speeds (UN R30 and R54; H stands between U and V).
SPEED_SYMBOLS = (
    "A1", "A2", "A3", "A4", "A5", "A6", "A7", "A8", "B", "C", "D", "E", "F", "G", "J", "K", "L", "M", "N",
    "P", "Q", "R", "S", "T", "U", "H", "V", "W", "Y",
)  # fmt: skip


@dataclass(frozen=True)
class Column:
    """One column: what may stand in a cell and what it means.

    ``low`` and ``high`` are inclusive, in ``unit``. ``default`` makes the column and its cells optional: it
    is a literal, or the name of another column of the same row whose value is taken.
    """

    name: str
    kind: Kind
    what: str
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    choices: tuple[str, ...] = ()
    default: str | None = None

    @property
    def required(self) -> bool:
        """Whether the column must be there and filled."""
        return self.default is None

    @property
    def is_numeric(self) -> bool:
        """Whether the cells become numbers."""
        return self.kind in ("number", "integer", "code")

    @property
    def expected(self) -> str:
        """What a cell may hold, in words: for faults and for documentation."""
        unit = f" {self.unit}" if self.unit else ""
        match self.kind:
            case "id":
                return "letters, digits, dots, dashes and underscores, starting with a letter or digit"
            case "text":
                return "a text"
            case "size":
                return "a size marking like 205/55R16, LT285/75R16, 37x12.50R17LT or 8.25R20"
            case "choice":
                return "one of " + ", ".join(self.choices)
            case "number":
                return f"a number from {self.low:g} to {self.high:g}{unit}"
            case "integer":
                return f"a whole number from {self.low:g} to {self.high:g}{unit}"
            case "code":
                return "a rim diameter code: " + ", ".join(f"{code:g}" for code in RIM_CODES)
            case "studs":
                return f"numbers of studs from {self.low:g} to {self.high:g}, like 5,6,8"
            case "outline":
                return "radius:place in mm, at least two, radius rising, like 60:0;110:0;150:20"


@dataclass(frozen=True)
class Table:
    """One kind of catalog file. ``one`` is what a row stands for."""

    name: str
    one: str
    columns: tuple[Column, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Column names in the order of the file."""
        return tuple(column.name for column in self.columns)

    def column(self, name: str) -> Column:
        """Return the column called ``name``; KeyError if there is none."""
        for column in self.columns:
            if column.name == name:
                return column
        raise KeyError(name)


def _mm(name: str, low: float, high: float, what: str, default: str | None = None) -> Column:
    return Column(name, "number", what, "mm", low, high, default=default)


def _inch(name: str, low: float, high: float, what: str) -> Column:
    return Column(name, "number", what, "in", low, high)


def _kg(name: str, low: float, high: float, what: str) -> Column:
    return Column(name, "number", what, "kg", low, high)


def _money(name: str, what: str) -> Column:
    return Column(name, "number", what, "", 0, 100_000)


_ID = Column("id", "id", "name of the row, unlike every other of its kind")
_MAKER = Column("maker", "text", "who makes it")
_LINE = Column("line", "text", "the maker's line")
_RIM_CODE = Column("rim_code", "code", "rim diameter code")
_SEAT = Column(
    "bead_seat_deg",
    "choice",
    "angle of the bead seats: 5 for whole rim codes, 15 for half ones",
    "deg",
    choices=("5", "15"),
)
_YES_NO = ("yes", "no")
_MATERIAL = Column("material", "choice", "what it is made of", choices=("steel", "aluminium"))
_PRESSURE = Column("pressure_kpa", "number", "greatest cold pressure", "kPa", 100, 1000)

_BARREL = (
    _mm("flange_in_mm", 5, 60, "thickness of the inboard flange, bead seat side to outer edge"),
    _mm("flange_out_mm", 5, 60, "thickness of the outboard flange"),
    _mm("flange_height_mm", 8, 40, "height of the flanges above the bead seat (radial)"),
    _SEAT,
    _mm("metal_mm", 2, 25, "thickness of the barrel"),
    _mm("drop_depth_mm", 5, 80, "depth of the drop centre below the bead seat (radial, tire side)"),
    _mm("drop_flat_mm", 10, 200, "width of the drop centre's flat bottom"),
    Column("drop_side", "choice", "the flange that the drop centre is near; the tire mounts from there",
           choices=("in", "out")),
    _mm("drop_from_flange_mm", 20, 250, "inside of that flange to the middle of the flat"),
    _mm("drop_ramp_mm", 1, 100, "lateral run of each slope of the drop centre"),
    _mm("disc_thickness_mm", 3, 60, "thickness of the disc at the mounting face"),
    Column("disc_outline", "outline",
           "inboard side of the disc: radius:place pairs, place positive outboard of the face", "mm"),
)  # fmt: skip

_TUBE_OK = Column("tube_ok", "choice", "whether it takes a tire with a tube", choices=_YES_NO)

TIRES = Table("tires", "a tire", (
    _ID, _MAKER, _LINE,
    Column("size", "size", "the size marking, without load index and speed symbol"),
    Column("kind", "choice", "kind of tread",
           choices=("highway", "all_terrain", "mud", "commercial", "classic")),
    Column("construction", "choice", "how the carcass is laid", choices=("radial", "bias")),
    _RIM_CODE,
    _inch("measuring_rim_in", 3, 20, "width of the rim that the nominal section is stated for"),
    _inch("rim_min_in", 3, 20, "least approved rim width"),
    _inch("rim_max_in", 3, 20, "largest approved rim width"),
    _mm("od_min_mm", 400, 1400, "least new outer diameter, inflated, no load"),
    _mm("od_nominal_mm", 400, 1400, "nominal (design) outer diameter"),
    _mm("od_max_mm", 400, 1400, "largest new outer diameter"),
    _mm("section_min_mm", 100, 700, "least new section width on the measuring rim"),
    _mm("section_nominal_mm", 100, 700, "nominal (design) section width on the measuring rim"),
    _mm("section_max_mm", 100, 700, "largest new section width on the measuring rim"),
    Column("shoulder", "choice", "shape of the shoulder; square is the safe assumption",
           choices=("square", "round"), default="square"),
    _mm("tread_width_mm", 50, 700, "width of the tread; left out: the nominal section", "section_nominal_mm"),
    _mm("shoulder_height_mm", 0, 150, "radial drop from the crown to where the side wall starts", "0"),
    _mm("side_lug_mm", 0, 40, "how far lugs stand out of each side wall beyond the section width", "0"),
    _SEAT,
    Column("tube", "choice", "with or without a tube", choices=("tubeless", "tube")),
    Column("passenger", "choice", "a passenger tire: its load is derated on a truck", choices=_YES_NO),
    Column("load_index", "integer", "load index, single fitment", "", 60, 160),
    _kg("load_kg", 100, 5000, "load in single fitment at the pressure beside it"),
    Column("pressure_kpa", "number", "cold pressure that carries the load", "kPa", 100, 1000),
    Column("speed_symbol", "choice", "speed symbol", choices=SPEED_SYMBOLS),
    _kg("mass_kg", 2, 300, "mass of the tire"),
    _money("price", "price of one"),
))  # fmt: skip

BLANKS = Table("blanks", "a rim blank, made to order", (
    _ID, _MAKER, _MATERIAL, _RIM_CODE,
    _inch("width_min_in", 3, 20, "least rim width"),
    _inch("width_max_in", 3, 20, "largest rim width"),
    _inch("width_step_in", 0.125, 5, "step of the rim width, from the least"),
    *_BARREL,
    _mm("bore_min_mm", 20, 400, "least centre bore"),
    _mm("bore_max_mm", 20, 400, "largest centre bore"),
    _mm("bolt_circle_min_mm", 80, 500, "least bolt circle that can be drilled"),
    _mm("bolt_circle_max_mm", 80, 500, "largest bolt circle that can be drilled"),
    Column("studs", "studs", "numbers of studs that can be drilled", "", 3, 12),
    _mm("backspace_min_mm", 0, 400, "least backspace"),
    _mm("front_space_min_mm", 0, 400, "least front space (face to the outer edge of the outboard flange)"),
    _kg("load_kg", 200, 10_000, "load rating"),
    _PRESSURE, _TUBE_OK,
    _kg("mass_base_kg", 0, 200, "mass at width 0 (the part that does not grow with the width)"),
    _kg("mass_per_in_kg", 0, 30, "mass per inch of width"),
    _money("price_base", "price at width 0"),
    _money("price_per_in", "price per inch of width"),
))  # fmt: skip

WHEELS = Table("wheels", "a stocked wheel", (
    _ID, _MAKER, _LINE, _MATERIAL, _RIM_CODE,
    _inch("width_in", 3, 20, "nominal rim width, between the bead seats"),
    *_BARREL,
    _mm("inset_mm", -300, 300, "rim centre plane to mounting face, positive when the face is outboard of it"),
    Column("studs", "integer", "number of stud holes", "", 3, 12),
    _mm("bolt_circle_mm", 80, 500, "bolt circle"),
    _mm("bore_mm", 20, 400, "centre bore"),
    _mm("hole_mm", 8, 50, "diameter of a stud hole"),
    _kg("load_kg", 200, 10_000, "load rating"),
    _PRESSURE, _TUBE_OK,
    _kg("mass_kg", 2, 200, "mass of the wheel"),
    _money("price", "price of one"),
))  # fmt: skip

ADAPTERS = Table("adapters", "an adapter between two bolt circles", (
    _ID, _MAKER,
    Column("hub_studs", "integer", "holes on the hub's side", "", 3, 12),
    _mm("hub_bolt_circle_mm", 80, 500, "bolt circle on the hub's side"),
    Column("wheel_studs", "integer", "studs on the wheel's side", "", 3, 12),
    _mm("wheel_bolt_circle_mm", 80, 500, "bolt circle on the wheel's side"),
    _mm("thickness_mm", 10, 200, "how far it moves the wheel outboard"),
    _mm("bore_mm", 20, 400, "bore on the hub's side"),
    _mm("pilot_mm", 20, 400, "diameter of the pilot that centres the wheel"),
    _mm("hole_mm", 8, 50, "diameter of a hole on the hub's side"),
    _kg("load_kg", 200, 10_000, "load rating"),
    _kg("mass_kg", 0.1, 60, "mass of one"),
    _money("price", "price of one"),
))  # fmt: skip

GEARSETS = Table("gearsets", "a ring and pinion", (
    _ID, _MAKER,
    Column("gear_family", "id", "family of axles that it fits"),
    Column("ratio", "number", "ring teeth over pinion teeth", "", 1.5, 15),
    Column("ring_teeth", "integer", "teeth of the ring", "", 15, 120),
    Column("pinion_teeth", "integer", "teeth of the pinion", "", 4, 40),
    Column("carrier", "text", "the carrier that it needs; another one than today's is an extra cost"),
    _money("price", "price of the set"),
    _money("fitting_price", "price of having it fitted"),
))  # fmt: skip

TABLES: tuple[Table, ...] = (TIRES, BLANKS, WHEELS, ADAPTERS, GEARSETS)


def table(name: str) -> Table:
    """Return the table called ``name``; KeyError if there is none.

    >>> table("gearsets").column("ratio").expected
    'a number from 1.5 to 15'
    """
    for candidate in TABLES:
        if candidate.name == name:
            return candidate
    raise KeyError(name)
