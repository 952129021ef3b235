"""The results as a JSON document, as rows and as a DataFrame."""

from __future__ import annotations

import json
import math
from dataclasses import fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from report import samples
from wellroom.search.contact import Contact, contact_words, pose_words, thing_words
from wellroom.search.document import ROW_COLUMNS, document, rows
from wellroom.search.results import (
    Check,
    FitResult,
    ceil_miss,
    floor_margin,
    inward,
    least_check,
)

HEADER_KEYS = {
    "schema",
    "command",
    "status",
    "scenario",
    "stance",
    "checked",
    "not_checked",
    "assumptions",
    "cautions",
    "warnings",
    "notes",
    "bound_mm",
    "other_stances",
}
AXLE_KEYS = {
    "tire",
    "wheel",
    "quantity",
    "rim_diameter_in",
    "rim_width_in",
    "backspace_in",
    "backspace_mm",
    "inset_mm",
    "overall_width_mm",
    "poke_mm",
    "inside_mm",
    "gap_mm",
    "window_mm",
    "windows_mm",
    "checks",
    "steering",
    "relief",
}
finite = st.floats(-1e6, 1e6)


@given(finite)
def test_floor_margin_any_value_is_at_most_it_and_stays_when_repeated(value: float) -> None:
    """A margin is never rounded up, by less than 0.01 down, and rounding it again changes nothing."""
    floored = floor_margin(value)
    assert value - 0.01 - 1e-9 < floored <= value
    assert floor_margin(floored) == floored


@given(finite)
def test_ceil_miss_any_value_is_the_mirrored_floor(value: float) -> None:
    """A miss is rounded up as a margin is rounded down."""
    assert ceil_miss(value) == -floor_margin(-value)


@given(st.lists(st.tuples(finite, st.floats(0, 50)), max_size=4))
def test_inward_any_windows_lie_within_the_given(parts: list[tuple[float, float]]) -> None:
    """No rounded interval reaches beyond the one it came from, and none is upside down."""
    given_windows = tuple((low, low + size) for low, size in parts)
    for low, high in inward(given_windows):
        assert low <= high
        assert any(first <= low and high <= last for first, last in given_windows)


def test_document_fit_has_every_key_of_the_contract() -> None:
    """All keys are there, at every level, also where the value is unknown."""
    body = document(samples.fit_result())
    assert set(body) == HEADER_KEYS | {"counts", "fits", "today", "fell", "blocked_by"}
    plan = body["fits"][0]
    assert set(plan) == {
        "rank",
        "score",
        "score_terms",
        "price",
        "mass_kg",
        "axles",
        "spare",
        "gearing",
        "checks",
    }
    assert set(plan["axles"]["front"]) == AXLE_KEYS
    assert set(plan["axles"]["front"]["tire"]) == {"id", "size", "od_mm", "section_mm"}
    assert set(plan["axles"]["front"]["wheel"]) == {"source", "id", "adapter_mm"}
    assert set(plan["axles"]["front"]["checks"][0]) >= {"id", "kind", "margin", "unit", "ok", "contact"}
    assert plan["gearing"]["gearsets"] == {"front": "front-488", "rear": "rear-488"}
    assert set(body["fits"][1]["score_terms"][0]) == {"wish", "miss", "unit", "points"}
    assert body["today"]["gearing"] is None
    assert body["today"]["axles"]["rear"]["gap_mm"] is None


def test_document_check_has_one_entry_without_rank() -> None:
    """A check holds the same body, one entry, rank null."""
    body = document(samples.check_result())
    assert set(body) == HEADER_KEYS | {"axles", "judges", "fits"}
    assert [entry["rank"] for entry in body["fits"]] == [None]
    assert set(body["fits"][0]["axles"]) == {"front", "rear"}


def test_document_one_axle_known_has_the_other_as_null() -> None:
    """Both axles are keys even when one of them is not in the plan."""
    plan = samples.plan(axles={"rear": samples.axle_fit("rear")})
    body = document(samples.fit_result(fits=(plan,)))
    assert body["fits"][0]["axles"]["front"] is None


def test_document_numbers_are_rounded_to_the_safe_side() -> None:
    """Margins go down, misses up, windows inward, other lengths to the nearest 0.01."""
    body = document(samples.fit_result())
    front = body["fits"][0]["axles"]["front"]
    assert front["checks"][1]["margin"] == 31.75
    assert front["window_mm"] == [[98.43, 114.3]]
    assert front["windows_mm"] == {
        "front.lip": [[98.43, 180.0]],
        "front.near.leaf_spring": [[60.0, 114.3]],
        "front.tire_load": None,
    }
    assert front["backspace_in"] == 4.125
    assert front["checks"][2]["contact"]["r_mm"] == 362.88
    assert body["fits"][1]["score_terms"][0]["miss"] == 12.71
    assert body["fits"][0]["gearing"]["effective_ratio"] == 4.0667


def test_document_survives_json_unchanged() -> None:
    """What is written is plain JSON without NaN and reads back as it was."""
    body = document(samples.fit_result())
    assert json.loads(json.dumps(body, allow_nan=False)) == body


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_document_not_finite_is_refused_by_its_path(value: float) -> None:
    """A number that is not finite is a bug of the search, and is named by its place."""
    plan = samples.plan(axles={"front": samples.axle_fit("front", poke_mm=value)})
    with pytest.raises(ValueError, match=r"fits\.0\.axles\.front\.poke_mm"):
        document(samples.fit_result(fits=(plan,)))


def test_document_minus_zero_is_written_as_zero() -> None:
    """A negative zero has no sign in the document."""
    plan = samples.plan(axles={"front": samples.axle_fit("front", poke_mm=-0.001)})
    body = document(samples.fit_result(fits=(plan,)))
    assert str(body["fits"][0]["axles"]["front"]["poke_mm"]) == "0.0"


def test_document_caution_texts_are_given_by_the_caller() -> None:
    """A caution is its place with its text, and null where the caller has none."""
    result = samples.fit_result(cautions=("head", "lift"))
    assert document(result, {"head": "try it"})["cautions"] == [
        {"place": "head", "text": "try it"},
        {"place": "lift", "text": None},
    ]


def test_rows_fit_has_one_row_per_plan_and_axle() -> None:
    """Today's wheels come first, then each rank, front before rear; the columns are the announced ones."""
    table = rows(samples.fit_result())
    assert [(row["rank"], row["axle"]) for row in table] == [
        (None, "front"),
        (None, "rear"),
        (1, "front"),
        (1, "rear"),
        (2, "front"),
        (2, "rear"),
    ]
    assert {tuple(row) for row in table} == {ROW_COLUMNS}


def test_frame_nothing_fits_keeps_its_columns() -> None:
    """An empty answer is an empty table with the same columns."""
    frame = replace(samples.nothing(), today=None).frame()
    assert list(frame.columns) == list(ROW_COLUMNS)
    assert len(frame) == 0


def test_frame_ranks_are_whole_numbers_with_a_missing_one() -> None:
    """A missing rank does not turn the others into floats."""
    frame = samples.fit_result().frame()
    assert str(frame["rank"].dtype) == "Int64"
    assert frame["rank"].isna().sum() == 2
    assert frame.loc[frame["rank"] == 2, "plan_score"].tolist() == [3, 3]


def test_frame_check_has_a_row_for_each_axle() -> None:
    """A check's table is one row per axle."""
    assert samples.check_result().frame()["axle"].tolist() == ["front", "rear"]


def test_least_check_ties_go_to_the_first_id() -> None:
    """Equal margins are told apart by id, whatever their order; other kinds and units don't count."""
    tied = [
        Check("front.near.b", "clearance", "b", 3.001, "mm", True),
        Check("front.near.a", "clearance", "a", 3.009, "mm", True),
        Check("front.poke", "wish", "poke", -40.0, "mm", False),
        Check("front.bore", "clearance", "bore", None, "mm", None),
    ]
    assert least_check(tied) is tied[1]
    assert least_check(tied[::-1]) is tied[1]
    assert least_check(tied[2:]) is None


@pytest.mark.parametrize(
    ("contact", "words"),
    [
        (samples.SPRING, "left leaf spring, full inner lock, 2 in down"),
        (samples.LIP, "right lip, full bump, full tilt"),
        (Contact("left frame rail", side="left"), "left frame rail"),
        (Contact("lip", side="both", lock_deg=0.0, travel_mm=0.0), "lip, straight ahead at ride height"),
        (Contact("hose", lock_deg=-12.25, travel_mm=31.75), "hose, 12.2 degrees of outer lock, 1 1/4 in up"),
        (Contact("hose", words="as it was written"), "as it was written"),
    ],
)
def test_contact_words_each_pose_reads_as_a_builder_says_it(contact: Contact, words: str) -> None:
    """Side and thing first, then lock, travel and tilt; extremes by name."""
    assert contact_words(contact) == words


def test_pose_words_in_millimetres_are_whole() -> None:
    """The reader's units hold for the pose too."""
    assert pose_words(samples.SPRING, "mm") == "full inner lock, 51 mm down"
    assert thing_words(samples.LIP) == "right lip"


def test_results_are_frozen() -> None:
    """No result can be changed after it was made."""
    result = samples.fit_result()
    assert FitResult.__dataclass_params__.frozen  # type: ignore[attr-defined]
    with pytest.raises(AttributeError):
        result.status = "none"  # type: ignore[misc]
    assert "frame" not in {item.name for item in fields(result)}
