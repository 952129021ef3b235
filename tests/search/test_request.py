"""What is asked for by name: sizes and lengths of the command line, and the slip behind what can't be."""

from __future__ import annotations

from functools import cache

import pytest

from wellroom import load_catalog, load_scenario
from wellroom.data import scenarios_dir
from wellroom.errors import RequestError
from wellroom.scenario.marks import RIM_CODES
from wellroom.search.case import Case, prepare
from wellroom.search.request import Pick, Wanted, named_rims, named_tires, wanted
from wellroom.trade.rim import FIFTEEN_DEGREE_CODES, FIVE_DEGREE_CODES

CATALOG = cache(load_catalog)
STOCKED = "rallier-15x6-is10-5x139.7"


@cache
def case() -> Case:
    """Return the least scenario, made ready."""
    return prepare(load_scenario(scenarios_dir() / "least.toml"), CATALOG(), None)


def pick(**ask: str) -> Pick:
    """Return what is judged on the front axle for a combination."""
    ready = case()
    found = wanted(
        Wanted(**ask),
        ready.asked["front"],
        ready.today["front"],
        ready.scenario.now.front,
        CATALOG(),
        [],
    )
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        ({"backspace": "70"}, '--backspace: found "70", expected 0 to 17.7 in'),
        ({"backspace": "70"}, "70 mm was probably meant"),
        ({"backspace": "-1"}, "1 in was probably meant"),
        ({"backspace": "7 1/8"}, "at most the overall width of the 16x6, 7 in"),
        ({"rim": "16x8", "backspace": "9.1"}, "at most the overall width of the 16x8, 9 in"),
        ({"inset": "70"}, "70 mm was probably meant"),
        ({"inset": "-4"}, "at most half the overall width of the 16x6, 3.5 in"),
        ({"backspace": "3..4"}, "one length, without a ± or a range"),
        ({"backspace": "3 ± 1/4"}, "one length, without a ± or a range"),
        ({"backspace": "deep"}, "a length (in, ft, mm, cm, m)"),
        ({"rim": "400x9", "backspace": "4"}, "the diameter 400 reads like mm, 15.7 in was probably meant"),
        ({"rim": "11x20", "backspace": "4"}, "the diameter comes first, 20x11 was probably meant"),
        ({"rim": "9x15", "backspace": "4"}, "the diameter comes first, 15x9 was probably meant"),
        ({"rim": "27x9", "backspace": "4"}, "rim diameters are 10, 12 to 24, 26"),
        ({"rim": "16x7"}, "the backspace (or --inset) of the 16x7"),
        ({"rim": STOCKED, "backspace": "3"}, f"within 0.25 in of the backspace of {STOCKED}, 3.894 in"),
        ({"tire": "205/60R11"}, "rim diameter code 11 is not a known code"),
        ({"tire": "round"}, "a tire's id in the catalog, or a marking"),
    ],
)
def test_wanted_that_cannot_be_is_refused_with_the_likely_slip(ask: dict[str, str], says: str) -> None:
    """A backspace beyond the rim, a mistyped unit, a rim the wrong way round: one line, never a verdict."""
    with pytest.raises(RequestError) as caught:
        pick(**ask)
    (fault,) = map(str, caught.value.faults)
    assert says in fault


@pytest.mark.parametrize(
    ("ask", "backspace_mm"),
    [
        ({"backspace": "7"}, 177.8),
        ({"backspace": "0"}, 0.0),
        ({"inset": "-3.5"}, 0.0),
        ({"inset": "10 mm"}, 98.9),
        ({"rim": STOCKED}, 98.9),
        ({"rim": STOCKED, "backspace": "98.9 mm"}, 98.9),
        ({"rim": STOCKED, "inset": "10 mm"}, 98.9),
    ],
)
def test_wanted_within_the_rim_is_judged_there(ask: dict[str, str], backspace_mm: float) -> None:
    """Up to the rim's own edges a backspace or inset is judged as asked; a stocked wheel's at its own."""
    assert pick(**ask).backspace == pytest.approx(backspace_mm, abs=0.051)


def test_named_rims_the_wrong_way_round_are_refused_for_fit_too() -> None:
    """Fit reads a rim's size as check does."""
    with pytest.raises(RequestError, match="20x11 was probably meant"):
        named_rims(["11x20"], [])


def test_named_tire_of_a_load_index_beyond_the_table_is_taken_without_a_rating() -> None:
    """Load index 165 is past the table (from memory of the standard's list): its load is not known."""
    (load,) = named_tires(["425/65R22.5 165K"], CATALOG(), []).load
    assert load != load


def test_rim_codes_of_a_scenario_are_those_whose_seats_are_known() -> None:
    """No rim can be written down whose bead seats the formulas do not know."""
    assert set(FIVE_DEGREE_CODES + FIFTEEN_DEGREE_CODES) == RIM_CODES
