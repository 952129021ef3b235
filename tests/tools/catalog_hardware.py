"""What the other catalogs are made of: rim blanks, stocked wheels, adapters, gear sets.

All of it is invented; bolt circles, rim contours and teeth are such as the trade has them.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Barrel:
    """A barrel: flanges, metal and drop centre, mm."""

    flange: float
    flange_height: float
    metal: float
    depth: float
    flat: float
    from_flange: float
    ramp: float


#: Flange heights and least well figures: JIS D 4218:2021 table 3 (J), from memory of ISO 4209-2 (15 degrees).
LIGHT_STEEL = Barrel(12.7, 17.5, 3.5, 18.0, 24.0, 43.0, 10.0)
SMITHED_STEEL = Barrel(12.7, 17.5, 5.0, 20.0, 28.0, 45.0, 11.0)
HEAVY_STEEL = Barrel(12.7, 17.5, 6.0, 23.0, 26.0, 45.0, 11.0)
HEAVY_STEEL_DEEP = Barrel(12.7, 17.5, 6.0, 27.0, 24.0, 45.0, 12.0)
TRUCK_15_DEG = Barrel(12.7, 12.7, 6.0, 26.0, 36.0, 62.0, 18.0)
CAST = Barrel(12.7, 17.5, 8.0, 18.5, 24.0, 44.0, 10.0)
CAST_LARGE = Barrel(12.7, 17.5, 8.0, 22.5, 24.0, 44.0, 11.0)
FORGED = Barrel(12.7, 17.5, 7.0, 20.0, 26.0, 44.0, 11.0)


@dataclass(frozen=True)
class BlankRow:
    """One blank: id, maker, what it is, and its limits."""

    id: str
    maker: str
    material: str
    codes: tuple[float, ...]
    widths: tuple[float, float, float]
    barrel: Barrel
    sides: tuple[str, ...]
    disc: float
    pad: float  # radius of the flat pad, mm
    bore: tuple[float, float]
    circle: tuple[float, float]
    studs: str
    backspace_min: float
    front_space_min: float
    load: float
    pressure: float
    tube: str
    mass: tuple[float, float]  # base at code 16, per inch
    price: tuple[float, float]


BLANKS = (
    BlankRow("smithed", "Hollin Wheelworks", "steel", (15, 16, 17), (5.0, 12.0, 0.5), SMITHED_STEEL,
             ("out", "in"), 6.0, 118, (54, 132), (98, 215), "4,5,6,8", 30, 45, 1300, 450, "yes",
             (5.6, 1.35), (62, 9.5)),
    BlankRow("smithed-18", "Hollin Wheelworks", "steel", (18,), (6.0, 12.0, 0.5), SMITHED_STEEL,
             ("out",), 6.5, 125, (54, 160), (98, 230), "5,6,8", 30, 45, 1450, 480, "yes",
             (6.0, 1.45), (78, 11.0)),
    BlankRow("heavy", "Cinderbank Forge", "steel", (16, 17, 18), (5.0, 14.0, 0.5), HEAVY_STEEL,
             ("out", "in"), 10.0, 140, (70, 222), (139.7, 250), "5,6,8,10", 25, 55, 2000, 700, "yes",
             (10.5, 2.25), (104, 14.5)),
    BlankRow("heavy", "Cinderbank Forge", "steel", (20,), (5.5, 14.0, 0.5), HEAVY_STEEL,
             ("out", "in"), 12.0, 186, (70, 290), (139.7, 340), "5,6,8,10", 25, 60, 2600, 850, "yes",
             (13.0, 2.55), (126, 17.0)),
    BlankRow("heavy-deep", "Cinderbank Forge", "steel", (20,), (6.0, 14.0, 0.5), HEAVY_STEEL_DEEP,
             ("out", "in"), 14.0, 186, (70, 290), (139.7, 340), "5,6,8,10", 25, 65, 3000, 900, "yes",
             (14.5, 2.85), (148, 19.5)),
    BlankRow("truck", "Cinderbank Forge", "steel", (22.5,), (6.75, 13.5, 0.75), TRUCK_15_DEG,
             ("out", "in"), 14.0, 190, (120, 300), (205, 345), "6,8,10", 25, 65, 3000, 900, "no",
             (15.0, 2.70), (138, 18.0)),
    BlankRow("truck", "Cinderbank Forge", "steel", (19.5,), (6.0, 9.0, 0.75), TRUCK_15_DEG,
             ("out",), 11.0, 158, (100, 230), (165.1, 285.75), "5,6,8,10", 25, 60, 2200, 850, "no",
             (12.0, 2.30), (112, 15.0)),
    BlankRow("halfcode", "Cinderbank Forge", "steel", (16.5,), (6.0, 12.0, 0.75), TRUCK_15_DEG,
             ("out",), 8.0, 120, (70, 160), (139.7, 209.6), "5,6,8", 25, 50, 1600, 550, "no",
             (9.0, 2.00), (96, 13.0)),
    BlankRow("billet", "Alderspool Alloy", "aluminium", (15, 16, 17, 18), (6.0, 12.0, 0.5), FORGED,
             ("out",), 16.0, 112, (54, 132), (98, 205), "4,5,6,8", 40, 55, 1150, 450, "no",
             (3.6, 0.95), (210, 24.0)),
    BlankRow("billet", "Alderspool Alloy", "aluminium", (19, 20, 22), (7.0, 12.0, 0.5), Barrel(
             12.7, 17.5, 7.0, 22.5, 26.0, 44.0, 11.0),
             ("out",), 18.0, 122, (54, 160), (98, 225), "5,6,8", 40, 60, 1300, 480, "no",
             (4.4, 1.05), (265, 29.0)),
    BlankRow("billet-truck", "Alderspool Alloy", "aluminium", (20,), (7.0, 14.0, 0.5), Barrel(
             14.0, 17.5, 9.0, 24.0, 26.0, 45.0, 11.0),
             ("out",), 24.0, 182, (90, 285), (165.1, 335), "6,8,10", 40, 75, 2500, 850, "no",
             (9.5, 1.80), (390, 41.0)),
    BlankRow("billet-truck", "Alderspool Alloy", "aluminium", (22.5,), (7.5, 13.5, 0.75), Barrel(
             14.0, 12.7, 9.0, 26.0, 36.0, 62.0, 18.0),
             ("out",), 24.0, 186, (120, 290), (205, 335), "8,10", 40, 75, 3000, 900, "no",
             (10.5, 1.90), (430, 44.0)),
)  # fmt: skip


@dataclass(frozen=True)
class WheelLine:
    """A line of stocked wheels: every size in every bolt pattern, with the insets beside the size."""

    maker: str
    name: str
    material: str
    barrel: Barrel
    side: str
    disc: float
    pad: float
    hole: float
    load: float
    pressure: float
    tube: str
    density: float  # mass, kg per inch of width at code 16
    price: float  # per kg
    sizes: str  # code x width @ inset
    patterns: str  # studs x bolt circle / bore


WHEEL_LINES = (
    WheelLine("Marl & Daughters", "Plainsman", "steel", LIGHT_STEEL, "out", 4.5, 72, 14.5, 620, 450, "yes",
              1.25, 7.5, "13x5@35 14x5.5@38 14x6@30 15x6@40", "4x100/57 4x108/63 5x114.3/67"),
    WheelLine("Marl & Daughters", "Rallier", "steel", LIGHT_STEEL, "out", 5.0, 78, 15.0, 780, 450, "yes",
              1.30, 8.0, "15x6@10 15x7@6 15x8@0 15x10@-38", "5x114.3/84 5x120.65/84 5x139.7/108"),
    WheelLine("Hollin Wheelworks", "Drover", "steel", SMITHED_STEEL, "out", 6.0, 98, 16.5, 1250, 550, "yes",
              1.75, 6.5, "16x6@40 16x7@12 16x8@0 17x8@6 17x9@-12", "6x139.7/108 8x165.1/125 8x170/125"),
    WheelLine("Hollin Wheelworks", "Stockman", "steel", SMITHED_STEEL, "in", 6.5, 104, 16.5, 1400, 560, "yes",
              1.85, 6.8, "18x8@10 18x9@-6", "6x139.7/108 8x165.1/125 8x180/125"),
    WheelLine("Cinderbank Forge", "Carter", "steel", HEAVY_STEEL, "out", 11.0, 165, 24.0, 2300, 850, "yes",
              3.1, 5.5, "20x6.5@70 20x7.5@80 20x8.5@60 20x10@-10 20x11@-44",
              "6x205/161 8x275/221 10x285.75/221"),
    WheelLine("Cinderbank Forge", "Linehaul", "steel", TRUCK_15_DEG, "out", 12.0, 188, 26.5, 2900, 850, "no",
              2.9, 5.2, "22.5x6.75@75 22.5x7.5@80 22.5x8.25@95", "8x275/221 10x285.75/221 10x335/281"),
    WheelLine("Cinderbank Forge", "Shortrun", "steel", TRUCK_15_DEG, "out", 10.0, 140, 21.0, 2000, 830, "no",
              2.5, 5.6, "19.5x6@60 19.5x6.75@70", "8x165.1/125 8x225/170 10x225/170"),
    WheelLine("Alderspool Alloy", "Seven Fen", "aluminium", CAST, "out", 18.0, 74, 14.5, 690, 400, "no",
              1.10, 15.0, "15x7@35 16x7@38 16x7.5@30 17x7.5@40 17x8@35",
              "4x100/60 5x100/56.1 5x112/66.6 5x114.3/67.1"),
    WheelLine("Alderspool Alloy", "Nine Fen", "aluminium", CAST, "out", 19.0, 76, 14.5, 740, 400, "no",
              1.15, 16.0, "18x8@38 18x8.5@30 18x9.5@20 19x8.5@32 19x9.5@22",
              "5x112/66.6 5x114.3/70.6 5x120/72.6 5x120.65/72.6"),
    WheelLine("Alderspool Alloy", "Causeway", "aluminium", CAST_LARGE, "out", 20.0, 86, 16.0, 1000, 450, "no",
              1.45, 13.5, "20x8.5@25 20x9@12 20x10@-18 22x9.5@20", "5x127/78 6x135/87.1 6x139.7/106"),
    WheelLine("Alderspool Alloy", "Sluice", "aluminium", CAST, "out", 20.0, 100, 16.5, 1150, 480, "no",
              1.50, 12.5, "17x8@10 17x9@-12 18x9@0", "5x127/78 6x139.7/106 8x165.1/121 8x170/125"),
    WheelLine("Alderspool Alloy", "Weir", "aluminium", CAST_LARGE, "out", 22.0, 106, 16.5, 1650, 550, "no",
              1.70, 12.0, "20x8.25@45 20x9@15 20x10@-24 20x12@-44", "8x165.1/121 8x170/125 8x180/124"),
)  # fmt: skip

#: hub studs, circle, wheel studs, circle, thickness, bore, pilot, hole, load, mass
ADAPTERS = """
4 100 5 100 25 57 56.1 12.5 600 1.1
4 100 5 114.3 30 57 67.1 12.5 600 1.4
5 100 5 114.3 25 57 67.1 12.5 700 1.3
5 112 5 114.3 20 66.6 67.1 14.5 750 1.1
5 112 5 120 25 66.6 72.6 14.5 750 1.4
5 114.3 5 120.65 25 71 72.6 13.5 850 1.5
5 120.65 5 114.3 25 72.6 70.6 13.5 850 1.4
5 114.3 5 127 32 71 78 13.5 900 2.1
5 127 5 114.3 32 78 71 14.5 900 1.9
5 139.7 6 139.7 38 108 106 14.5 950 2.9
6 135 6 139.7 32 87.1 106 15.0 1150 2.4
6 139.7 6 135 32 106 87.1 14.5 1150 2.6
6 139.7 5 127 38 106 78 14.5 1000 2.8
8 165.1 8 170 38 121 125 16.5 1700 4.0
8 170 8 165.1 38 125 121 16.5 1700 3.8
8 165.1 8 180 38 121 124 16.5 1700 4.4
8 180 8 165.1 38 124 121 16.5 1700 4.1
8 180 8 170 38 124 125 16.5 1700 4.2
8 165.1 10 225 50 121 170 16.5 2000 9.2
8 275 10 285.75 50 221 221 26.5 3000 14.0
6 205 8 275 55 161 221 22.5 2300 13.5
10 225 10 285.75 52 170 221 22.5 2600 14.6
"""

#: gear family: ring teeth / pinion teeth, "*" where the tall carrier is needed
GEARSETS = {
    "tender_140": "43/6 41/6 40/6 37/6 35/6 39/7 37/7 34/7 39/8* 37/8* 41/9* 37/9* 41/10*",
    "ridge_88": "41/8 39/8 41/9 43/10 41/10 43/11 41/11 39/11* 37/11* 40/13* 43/14*",
    "ridge_75": "41/8 39/8 41/9 43/10 41/10 43/11 41/11 39/11* 37/11* 40/13*",
    "wagon_75": "41/10 39/10 41/11 39/11 41/12* 42/13* 40/13* 43/15* 41/15* 37/14*",
}

#: family: price of a set, of fitting it, of the other carrier
GEAR_PRICES = {
    "tender_140": (640.0, 520.0),
    "ridge_88": (265.0, 380.0),
    "ridge_75": (240.0, 360.0),
    "wagon_75": (210.0, 340.0),
}
