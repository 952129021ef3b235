"""What the tire catalog is made of: sizes with their load indices, and invented lines that offer them.

Load indices and load ranges are such as these sizes are commonly marked with, from memory; speed symbols,
pressures beyond the load-range rule, and everything else are invented.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Line:
    """An invented line: which groups of sizes it offers, and how its tires come out."""

    maker: str
    name: str
    kind: str
    groups: tuple[str, ...]
    speed: str  # the size's own symbol where that is slower
    shoulder: str
    tread_share: float  # of the nominal section
    mass: float  # relative to the ordinary
    price: float  # relative to the ordinary
    keep: int = 100  # per cent of the sizes that it offers


LINES = (
    Line("Wexmere", "Tourline", "highway", ("passenger", "p_metric"), "H", "round", 0.74, 1.00, 1.00),
    Line("Wexmere", "Swiftline", "highway", ("passenger",), "W", "round", 0.80, 1.02, 1.25),
    Line("Brindlemoor", "Longmile", "highway", ("p_metric", "lt"), "S", "round", 0.74, 0.98, 0.98),
    Line("Brindlemoor", "Fellwalk", "all_terrain", ("p_metric", "lt", "flotation"), "R", "round",
         0.79, 1.00, 1.05),
    Line("Tarnholt", "Peatcutter", "mud", ("lt", "flotation"), "Q", "square", 0.86, 1.06, 1.15),
    Line("Tarnholt", "Scree", "mud", ("flotation",), "Q", "square", 0.88, 1.10, 1.28, 70),
    Line("Tarnholt", "Mirelander", "mud", ("flotation_bias",), "L", "square", 0.88, 1.12, 0.95),
    Line("Quillstone", "Haulier", "commercial", ("commercial", "truck"), "M", "round", 0.76, 1.00, 1.00),
    Line("Quillstone", "Quarry", "commercial", ("truck", "multipurpose"), "K", "square", 0.82, 1.05, 1.10),
    Line("Draycut", "Clayhauler", "mud", ("multipurpose", "truck_tall"), "K", "square", 0.86, 1.08, 1.22),
    Line("Ossery", "Parade", "classic", ("classic",), "P", "square", 0.72, 1.02, 1.40),
    Line("Ossery", "Convoy", "classic", ("classic_truck",), "J", "square", 0.74, 1.02, 1.30),
)  # fmt: skip

# Passenger tires, metric: size, load index, speed symbol.
PASSENGER = """
155/80R13 79T
165/80R13 83T
175/70R13 82T
185/70R13 86H
175/65R14 82T
185/65R14 86H
185/60R14 82H
195/70R14 91H
185/65R15 88H
195/65R15 91H
205/65R15 94H
195/60R15 88H
195/50R15 82V
205/50R15 86V
225/50R15 91V
205/60R16 92H
205/55R16 91V
215/60R16 95H
215/65R16 98H
225/50R16 92V
225/55R16 95V
245/45R16 94V
205/50R17 93W
215/45R17 91W
215/55R17 94V
225/45R17 94W
225/50R17 94V
225/65R17 102H
235/45R17 94W
235/65R17 104H
245/40R17 91W
245/45R17 95W
255/40R17 94W
275/40R17 98W
225/40R18 92W
225/60R18 100H
235/40R18 95W
235/60R18 103H
245/40R18 97W
245/45R18 100W
255/35R18 94W
255/45R18 99W
265/35R18 97W
275/35R18 95W
285/30R18 93W
225/55R19 99V
235/35R19 91W
245/45R19 102W
255/35R19 96W
255/50R19 107V
275/35R19 100W
285/35R19 103W
245/35R20 95W
255/45R20 105W
265/50R20 107V
275/40R20 106W
275/45R20 110V
285/30R20 99W
265/45R21 108W
285/35R21 105W
275/40R22 107W
285/35R22 106W
285/45R22 114V
295/35R24 110W
305/35R24 112W
"""

# Passenger tires, P-metric.
P_METRIC = """
P185/80R13 90S
P195/75R14 92S
P205/75R14 95S
P215/70R14 96S
P205/60R15 90H
P205/75R15 97S
P215/70R15 97S
P215/75R15 100S
P225/70R15 100S
P225/75R15 102S
P235/60R15 98S
P235/70R15 102S
P235/75R15 105S
P255/60R15 102S
P255/70R15 108S
P265/75R15 112S
P275/60R15 107S
P215/85R16 108S
P225/60R16 97S
P225/70R16 101S
P235/70R16 104S
P245/70R16 106S
P245/75R16 109S
P255/65R16 106S
P265/70R16 111S
P265/75R16 114S
P235/75R17 108S
P245/65R17 105S
P255/70R17 110S
P265/65R17 110S
P265/70R17 113S
P275/60R17 110S
P285/70R17 117S
P255/70R18 112S
P265/60R18 109S
P265/65R18 112S
P275/65R18 114S
P275/55R20 111S
P275/60R20 114S
P285/50R20 111S
"""

# Light truck tires, LT-metric: size, load range, load index.
LT = """
LT215/75R15 C 100
LT235/75R15 C 104
LT215/85R16 D 110
LT215/85R16 E 115
LT225/75R16 E 115
LT235/85R16 E 120
LT245/75R16 C 108
LT245/75R16 E 120
LT255/85R16 E 123
LT265/75R16 C 112
LT265/75R16 E 123
LT285/75R16 D 122
LT285/75R16 E 126
LT305/70R16 D 118
LT305/70R16 E 124
LT315/75R16 D 121
LT315/75R16 E 127
LT235/80R17 E 120
LT245/70R17 E 119
LT255/75R17 C 111
LT255/80R17 E 121
LT265/70R17 C 112
LT265/70R17 E 121
LT275/70R17 E 121
LT285/70R17 C 116
LT285/70R17 E 121
LT285/75R17 E 121
LT295/70R17 E 121
LT305/65R17 E 121
LT315/70R17 D 121
LT255/70R18 D 117
LT265/70R18 E 124
LT275/65R18 E 123
LT275/70R18 E 125
LT285/65R18 E 125
LT285/75R18 E 129
LT295/70R18 E 129
LT305/65R18 E 124
LT325/65R18 E 127
LT275/65R20 E 126
LT285/60R20 E 125
LT285/65R20 E 127
LT295/60R20 E 126
LT295/65R20 E 129
LT305/55R20 E 121
LT325/60R20 E 126
LT285/55R22 E 124
LT325/50R22 E 122
"""

# Light truck tires, flotation radials: size, load range, load index.
FLOTATION = """
27x8.50R14LT C 95
28x8.50R15LT C 97
29x9.50R15LT C 100
30x9.50R15LT C 104
31x10.50R15LT C 109
31x11.50R15LT C 110
32x11.50R15LT C 113
33x10.50R15LT C 114
33x12.50R15LT C 108
35x12.50R15LT C 113
37x12.50R15LT C 118
33x12.50R16.5LT D 116
35x12.50R16.5LT D 119
37x12.50R16.5LT D 124
38x12.50R16LT E 126
33x12.50R17LT E 120
34x10.50R17LT D 120
35x11.50R17LT D 118
35x12.50R17LT E 121
37x12.50R17LT D 124
37x12.50R17LT E 126
37x13.50R17LT E 126
38x13.50R17LT E 127
39x13.50R17LT E 128
40x13.50R17LT E 129
40x14.50R17LT E 130
42x14.50R17LT E 131
33x12.50R18LT E 118
35x12.50R18LT E 123
37x12.50R18LT E 126
37x13.50R18LT E 127
38x13.50R18LT E 128
40x13.50R18LT E 129
42x15.50R18LT E 132
33x12.50R20LT E 119
35x12.50R20LT E 121
37x12.50R20LT E 126
37x12.50R20LT F 128
37x13.50R20LT E 127
38x13.50R20LT E 128
38x15.50R20LT E 130
39x13.50R20LT F 131
40x13.50R20LT F 132
40x14.50R20LT F 133
40x15.50R20LT E 131
41x14.50R20LT F 134
42x14.50R20LT F 134
42x15.50R20LT F 135
44x15.50R20LT F 136
46x16.50R20LT F 138
33x12.50R22LT E 114
35x12.50R22LT E 121
37x13.50R22LT E 123
40x15.50R22LT E 128
37x13.50R24LT E 120
40x15.50R24LT E 128
"""

# The same with bias carcasses.
FLOTATION_BIAS = """
31x11.50-15LT C 110
33x12.50-15LT C 108
35x12.50-15LT C 113
38x12.50-15LT C 119
36x12.50-16.5LT D 121
38x12.50-16LT D 124
38x15.50-16.5LT D 126
40x14.50-16LT D 128
42x14.50-16LT D 129
42x14.50-17LT D 129
44x15.50-16.5LT D 131
42x14.50-20LT E 132
"""

# Commercial metric tires for vans and medium trucks: size, load index and symbol, pressure in kPa.
COMMERCIAL = """
195/70R15C 104R 450
205/75R16C 110R 475
215/75R16C 113R 475
235/65R16C 115R 475
225/75R17C 118R 500
215/75R17.5 126M 700
235/75R17.5 132M 775
225/70R19.5 128M 760
245/70R19.5 135M 830
265/70R19.5 140M 775
285/70R19.5 145M 830
305/70R19.5 148M 850
255/70R22.5 140M 830
275/70R22.5 148M 900
275/80R22.5 149L 850
295/75R22.5 146L 830
295/80R22.5 152M 850
315/80R22.5 156L 850
"""

# Tall, single-mounted tires for rough ground.
MULTIPURPOSE = """
255/100R16 126K 550
275/80R18 127K 550
285/75R18 129K 600
275/80R20 130K 600
295/75R20 134K 600
305/70R20 134K 550
315/75R20 139K 600
335/80R20 149K 650
345/70R20 142K 550
365/80R20 152K 600
365/85R20 156K 700
375/75R20 150K 600
405/70R20 152J 550
275/80R22.5 146K 850
315/80R22.5 154K 800
"""

# Truck tires by numeric marking: size, load index and symbol, pressure, least / measuring / largest rim.
TRUCK = """
7.50R16LT 122L 750 5.5 6.0 6.5
8.25R16LT 128L 775 6.0 6.5 7.0
7.50R20 130K 775 6.0 6.0 6.5
8.25R20 133K 775 6.0 6.5 7.0
9.00R20 141K 830 6.5 7.0 7.5
10.00R20 146K 830 7.0 7.5 8.0
11.00R20 150K 830 7.5 8.0 8.5
12.00R20 154K 850 8.0 8.5 9.0
8R19.5 124L 720 5.25 6.0 6.75
9R22.5 133L 760 6.0 6.75 7.5
10R22.5 141L 790 6.75 7.5 8.25
11R22.5 146L 830 7.5 8.25 8.25
12R22.5 150L 850 8.25 9.0 9.0
"""

#: Those of them that also come with a deep tread.
TRUCK_TALL = ("8.25R20", "9.00R20", "10.00R20", "11.00R20", "11R22.5", "12R22.5")

# Bias tires with the tread of their day.
CLASSIC = """
6.50-16LT 107L 450 4.5 4.5 5.5
7.00-15LT 108L 450 5.0 5.5 6.0
7.00-16LT 110L 450 5.0 5.5 6.0
7.50-16LT 116L 525 5.5 6.0 6.5
8.25-16LT 121L 525 6.0 6.5 7.0
"""

CLASSIC_TRUCK = """
7.50-20 127J 625 5.5 6.0 6.5
8.25-20 131J 650 6.0 6.5 7.0
9.00-20 137J 675 6.5 7.0 7.5
10.00-20 143J 700 7.0 7.5 8.0
11.00-20 146J 700 7.5 8.0 8.5
"""

#: Numeric sizes that the formulas' own table lacks: outer diameter and section, mm, from memory (ETRTO, TRA).
FROM_MEMORY_MM = {
    "9.00R20": (1018, 258),
    "11.00R20": (1082, 286),
    "12.00R20": (1122, 313),
    "11R22.5": (1050, 279),
    "7.50-20": (928, 213),
    "8.25-20": (962, 232),
    "9.00-20": (1018, 256),
    "10.00-20": (1055, 278),
    "11.00-20": (1085, 291),
}

#: Flotation: width marking -> least, measuring, largest rim, in. To 12.50 from memory of UN R54 and TRA,
#: wider ones in the same manner.
FLOTATION_RIMS_IN = {
    8.5: (6.0, 7.0, 7.0),
    9.5: (6.5, 7.5, 8.5),
    10.5: (7.0, 8.5, 9.0),
    11.5: (8.0, 9.0, 10.0),
    12.5: (8.5, 10.0, 11.0),
    13.5: (9.0, 11.0, 12.0),
    14.5: (10.0, 11.5, 13.0),
    15.5: (11.0, 12.5, 14.0),
    16.5: (12.0, 13.0, 14.0),
}

#: Load range -> pressure, kPa (from memory: LT-metric to 295 mm, flotation to 11.50).
PRESSURE_KPA = {"C": 350, "D": 450, "E": 550, "F": 650}

#: The same for wider ones (common practice, no source).
PRESSURE_WIDE_KPA = {"C": 240, "D": 350, "E": 450, "F": 550}
