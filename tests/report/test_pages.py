"""What the pages say, in words, from results made by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from report import samples
from wellroom.report import measures, page
from wellroom.report.cautions import ALWAYS, CAUTIONS
from wellroom.report.head import places
from wellroom.report.page import plain
from wellroom.report.web.tables import every_check
from wellroom.search.results import Assumption, Check, CheckResult, Fell, FitResult, NotChecked, Plan
from wellroom.units import Kind, parse


def said(result: FitResult | CheckResult, units: str = "in") -> str:
    """Return the page as one line of words."""
    return " ".join(plain(page(result, units), 100).split())  # type: ignore[arg-type]  # in or mm


# --- measures -----------------------------------------------------------------------------------


@given(st.floats(-2000, 2000), st.sampled_from(["in", "mm"]))
def test_length_down_is_never_above_the_value(mm: float, units: str) -> None:
    """A margin in words, read back, is at most the true one and less than one step below."""
    text = measures.length(mm, units, "down")  # type: ignore[arg-type]  # in or mm
    back = parse(text, Kind.LENGTH, units).value  # type: ignore[arg-type]  # in or mm
    step = 25.4 / 16 if units == "in" else 0.1
    assert mm - step - 1e-6 < back <= mm + 1e-9


@given(st.floats(0, 400), st.floats(0.02, 60), st.sampled_from(["in", "mm"]))
def test_windows_text_lies_within_the_window(low: float, size: float, units: str) -> None:
    """The metric ends that are printed lie within the window."""
    words = measures.windows(((low, low + size),), units)  # type: ignore[arg-type]  # in or mm
    ends = words.split("(")[-1].strip(") ").removesuffix(" mm").split(" to ")
    assert low - 1e-9 <= float(ends[0])
    assert float(ends[1]) <= low + size + 1e-9


@pytest.mark.parametrize(
    ("intervals", "words"),
    [
        (None, "any backspace"),
        ((), "none"),
        (((101.6, 101.7),), "4 in only (101.6 to 101.7 mm)"),
        (((100.1, 100.9),), "100.1 to 100.9 mm"),
        (((50.8, 76.2), (101.6, 127.0)), "2 to 3 in (50.8 to 76.2 mm) or 4 to 5 in (101.6 to 127.0 mm)"),
    ],
)
def test_windows_each_shape_has_its_words(
    intervals: tuple[tuple[float, float], ...] | None, words: str
) -> None:
    """None, no interval, a single step, less than a step, two intervals."""
    assert measures.windows(intervals, "in") == words


@pytest.mark.parametrize(
    ("window", "units", "words"),
    [
        ((-150.0, 353.2), "in", "any (nothing that was measured ends it)"),
        ((-150.0, 101.7), "in", "up to 4 in (101.7 mm), no limit outboard"),
        ((50.7, 353.2), "in", "from 2 in (50.7 mm), no limit inboard"),
        ((50.7, 353.2), "mm", "from 50.7 mm, no limit inboard"),
        ((-149.9, 353.1), "mm", "-149.9 to 353.1 mm"),
    ],
)
def test_windows_end_that_nothing_sets_is_said_in_words(
    window: tuple[float, float], units: str, words: str
) -> None:
    """Where only the listing ends, 150 mm beyond a rim 203.2 mm wide, no number is given as a limit."""
    assert measures.windows((window,), units, 203.2) == words  # type: ignore[arg-type]  # in or mm


@pytest.mark.parametrize(
    ("value", "unit", "units", "text"),
    [
        (None, "mm", "in", "-"),
        (-4.2, "kg", "mm", "-5 kg"),
        (0.4, "kg", "mm", "0 kg"),
        (20.0, "km/h", "in", "+12 mph"),
        (-70.0, "kPa", "in", "-11 psi"),
        (1583.509, "", "in", "+1583.50"),
        (-0.001, "%", "in", "-0.01 %"),
        (2.0, "turns", "in", "+2.00 turns"),
        (0.4, "mm across", "in", "+0.015 in"),
        (-0.01, "mm across", "in", "-0.001 in"),
        (0.4, "mm across", "mm", "+0.40 mm"),
        (3.0, "mm of metal", "in", "+0.118 in"),
    ],
)
def test_amount_each_unit_is_rounded_down(value: float | None, unit: str, units: str, text: str) -> None:
    """Each kind of unit turns into the reader's, never above the truth."""
    assert measures.amount(value, unit, units) == text  # type: ignore[arg-type]  # in or mm


@pytest.mark.parametrize(
    ("size", "short"),
    [
        ("LT285/70R17 121/118S", "LT285/70R17"),
        ("P265/70R17 113T", "P265/70R17"),
        ("225/70R19.5 128/126L", "225/70R19.5"),
        ("37x12.50R16.5LT 121/118Q E", "37x12.50R16.5LT"),
        ("9.00-16", "9.00-16"),
    ],
)
def test_short_size_load_index_and_speed_are_left_out(size: str, short: str) -> None:
    """The table has room for the size alone."""
    assert measures.short_size(size) == short


# --- fit ----------------------------------------------------------------------------------------


def test_fit_page_says_the_answer_first_and_what_it_covers() -> None:
    """The first sentence answers, as far as was checked; the gaps follow with their measure."""
    lines = plain(page(samples.fit_result(), "in"), 100).splitlines()
    assert lines[0].startswith(
        'Yes: the 2 combinations listed fit "Retired mountain fire tender", stance "broad"'
    )
    text = said(samples.fit_result())
    assert "Checked: front: mounting, ride height, bump; rear: mounting, load." in text
    assert "Not checked: front tilt: axle.front.travel.tilt is missing" in text
    assert text.index("Not checked") < text.index("Caution:") < text.index("rank 1")


def test_fit_page_today_stands_before_rank_1_with_what_it_misses() -> None:
    """Today's wheels are the first row, unknown values a dash, and their misses are named."""
    fit = samples.axle_fit("front", checks=samples.checks("front", -3.0), gap_mm=None)
    today = samples.plan(None, axles={"front": fit, "rear": samples.axle_fit("rear")})
    text = said(samples.fit_result(today=today))
    assert "today: misses front leaf spring" in text
    assert text.index("today: misses") < text.index("rank 1: score")
    assert "tightest: front 1/8 in short at left leaf spring" in text


def test_fit_page_row_gives_backspace_as_fraction_with_mm() -> None:
    """One row: tire, rim, backspace in both units, poke, gap, load, least margin."""
    lines = plain(page(samples.fit_result(), "in")).splitlines()
    rank = next(index for index, line in enumerate(lines) if line.startswith("rank 1: score"))
    assert lines[rank + 1].split() == [
        *("front", "42x14.50R20", "20x11", "4", "1/8", "105"),
        *("+4", "3", "1/2", "+311", "+1/2"),
    ]
    assert " ".join(" ".join(lines[rank + 3 : rank + 5]).split()) == (
        "tightest: front 1/2 in at left leaf spring, full inner lock, 2 in down; "
        "rear 5/8 in at left leaf spring, full inner lock, 2 in down"
    )


def test_fit_page_in_millimetres_turns_everything() -> None:
    """The other units turn lengths, loads and poses."""
    text = said(samples.fit_result(), "mm")
    assert "front 42x14.50R20 20x11 104.8 4 1/8 +102 89 +141 +12.7" in text
    assert "tightest: front 12.7 mm at left leaf spring, full inner lock, 51 mm down" in text
    assert "mass 512 kg" in text


def test_fit_page_score_terms_tell_the_ranks_apart() -> None:
    """Each rank's points are named with the miss in the reader's units, rounded up."""
    text = said(samples.fit_result())
    assert "rank 1: score 0, every wish met" in text
    assert "rank 2: score 3 = 2 for front poke (9/16 in beside the wish); 1 for rear gap" in text


def _tied(**changes: object) -> str:
    return said(samples.fit_result(fits=(samples.plan(), samples.plan(2, **changes))))


def test_fit_page_equal_scores_say_what_decides() -> None:
    """Price, then the least clearance margin, then the ids, as the contract orders them."""
    loose = {"front": samples.axle_fit("front", checks=samples.checks("front", 10.0))}
    assert "rank 2: score 0, every wish met; as rank 1, 83.50 dearer" in _tied(price=8500.0)
    assert "as rank 1 at the same price, with less clearance" in _tied(axles=loose)
    assert "equal to rank 1: the order is that of the catalog ids" in _tied()
    assert "as rank 1, but without a price" in _tied(price=None)


def test_fit_page_no_stance_says_that_no_wish_was_stated() -> None:
    """Without wishes a score of 0 is not praised."""
    text = said(samples.fit_result(stance=None, fits=(samples.plan(),)))
    assert "No wishes stated: ordered by price." in text
    assert "rank 1: no wishes were stated" in text
    assert "every wish met;" not in text.replace("(score 0: every wish met;", "")


def test_fit_page_windows_name_what_ends_them() -> None:
    """Both ends of the window carry the requirement that ends it; equal axles share a line."""
    text = said(samples.fit_result())
    assert (
        "rank 1 front and rear: 3 7/8 to 4 1/2 in (98.5 to 114.3 mm); ended below by lip; "
        "ended above by leaf spring"
    ) in text


def test_fit_page_fell_counts_are_by_size_and_limited() -> None:
    """The requirement that most fell to comes first; none with 0; a long list is cut and says so."""
    text = said(samples.fit_result())
    assert text.index("8,120 front tire load") < text.index("1,204 front leaf spring")
    assert "rear lip" not in text.split("What the rest fell to")[1].split("Assumed")[0]
    many = tuple(Fell(f"front.near.n{index:02}", f"thing {index}", 100 - index) for index in range(20))
    assert "and 5 more requirements" in said(samples.fit_result(fell=many))


def test_fit_page_made_of_names_rows_gears_and_spare() -> None:
    """What is bought is named by catalog id, with quantities, adapter, spare and gearing."""
    adapter = samples.axle_fit("front", wheel=samples.WheelChoice("stock", "steel-16", 31.75))
    plan = samples.plan(axles={"front": adapter, "rear": samples.axle_fit("rear")})
    text = said(samples.fit_result(fits=(plan,)))
    assert "front 2 x norrland-mud-42 on stocked wheel steel-16 with an adapter 1 1/4 in thick" in text
    assert "rear 2 x norrland-mud-42 on wheel made to order forge-20; spare as front; mass 1129 lb" in text
    assert "front ratio 4.88 with front-488" in text
    assert "2411 rpm at cruise; speedometer reads 3.2 % low" in text


def test_fit_page_nothing_fits_is_said_plainly() -> None:
    """The answer is no, with what leaves none; today's wheels are still shown."""
    text = said(samples.nothing())
    assert text.startswith('No: nothing in these catalogs fits "Retired mountain fire tender"')
    assert "what leaves none: leaf spring (front) and poke (front)." in text
    assert "Today's wheels by the same measures" in text
    assert "Why in this order" not in text


@pytest.mark.parametrize(
    ("fits", "words"), [((samples.plan(),), "the 1 below were found"), ((), "nothing was")]
)
def test_fit_page_undecided_is_never_a_no(fits: tuple[Plan, ...], words: str) -> None:
    """A limit that struck is said as such, with or without plans."""
    text = said(samples.fit_result(status="unproven", fits=fits))
    assert text.startswith("Not decided")
    assert words in text
    assert "Yes:" not in text


# --- check --------------------------------------------------------------------------------------


def test_check_page_requirements_have_verdict_margin_and_place() -> None:
    """Each requirement: verdict in a word, signed margin, what was asked, where it is least."""
    text = said(samples.check_result(spring_mm=-5.0))
    assert text.startswith("No: this combination on")
    assert "misses leaf spring." in text
    assert "missed -1/4 in leaf spring (3/4 in asked): left leaf spring, full inner lock, 2 in down" in text
    assert "ok +311 lb tire load" in text
    assert "wish missed -1/2 in poke" in text


def test_check_page_missed_wishes_do_not_make_a_no() -> None:
    """Wishes are counted beside a yes."""
    text = said(samples.check_result())
    assert text.startswith("Yes: this combination")
    assert "2 wishes missed" in text.split(".")[0]
    assert "By your measures" not in text


def test_check_page_unknown_is_not_ok() -> None:
    """What was not judged is called unknown."""
    fit = samples.axle_fit("front", checks=(Check("front.bore", "clearance", "bore", None, "mm", None),))
    plan = samples.plan(None, axles={"front": fit})
    assert "unknown - bore" in said(samples.check_result(fits=(plan,), axles=("front",)))


def test_check_page_today_asks_sentence_by_sentence() -> None:
    """Without a combination the builder is asked about the distance itself: margin and asked together."""
    text = said(samples.check_result("today"))
    assert text.startswith("Yes: today's wheels on")
    assert (
        "By your measures today's front tire, at its largest, clears the left leaf spring by 1 1/4 in at "
        "full inner lock, 2 in down: so?"
    ) in text
    assert "By your measures today's rear tire stands 4 in beyond the body's edge" in text
    assert "the lip stands 3 1/2 in from today's front tire at ride height" in text


def test_check_page_today_that_fouls_is_asked_as_a_foul() -> None:
    """A distance below zero reads as metal in the tire, not as a negative clearance."""
    text = said(samples.check_result("today", spring_mm=-25.4))
    assert "is 1/4 in into the left leaf spring at full inner lock, 2 in down: so?" in text


def test_check_page_without_asked_clearance_speaks_of_the_margin() -> None:
    """Where the clearance asked for is not known the sentence does not claim a distance."""
    bare = tuple(replace(check, asked=None) for check in samples.checks("front"))
    plan = samples.plan(None, axles={"front": samples.axle_fit("front", checks=bare, poke_mm=-12.7)})
    text = said(samples.check_result("today", fits=(plan,), axles=("front",)))
    assert "has 1/2 in more than the clearance asked for at the left leaf spring" in text
    assert "today's front tire stands 1/2 in inside the body's edge" in text


def test_check_page_one_axle_leaves_the_other_out() -> None:
    """Only the axle that was asked for is shown; the other is said to keep today's tire."""
    text = said(samples.check_result(axles=("rear",)))
    assert "rear: 42x14.50R20" in text
    assert "front: 42x14.50R20" not in text
    assert "both axles together The front axle keeps today's 42x14.50R20." in text
    assert "keeps today's" not in said(samples.check_result())
    assert "keeps today's" not in said(samples.check_result("today", axles=("rear",)))


def test_check_page_one_axle_that_fails_beside_the_other_says_so() -> None:
    """Where front and rear do not match, the answer itself says that the other axle was not changed."""
    match = Check("plan.rolling_match", "rating", "front to rear", -2.0, "%", False)
    plan = replace(samples.check_result().plan, checks=(match,))
    text = said(samples.check_result(axles=("rear",), fits=(plan,), status="none"))
    assert "misses front to rear; the front axle keeps today's 42x14.50R20." in text


def test_check_page_poke_has_its_sign() -> None:
    """Poke beyond the body's edge has a plus, tucked a minus."""
    assert "poke +4 in, inside 10 in" in said(samples.check_result())


# --- cautions and the head ----------------------------------------------------------------------


def test_cautions_every_place_of_the_trade_has_a_short_text() -> None:
    """All places are there, each said in a few lines."""
    assert set(CAUTIONS) >= {"head", "load", "rim_type", "brake", "lift", "hub", "order", "measure"}
    assert set(CAUTIONS) >= {"semi_floating", *ALWAYS}
    assert all(40 < len(text) < 400 for text in CAUTIONS.values())


def test_places_named_ones_join_the_usual_ones() -> None:
    """A place that the answer names is added once, an unknown one is kept."""
    result = samples.fit_result(cautions=("lift", "load", "something of its own"))
    assert set(places(result)) == {*ALWAYS, "lift", "something of its own"}
    assert len(places(result)) == len(set(places(result)))
    assert "lift: After a lift" in said(result)


def test_head_everything_checked_says_so() -> None:
    """Without gaps the head says that there are none that the program knows of."""
    assert "Not checked: nothing that this program knows how to check." in said(
        samples.fit_result(not_checked=())
    )


def test_head_first_stance_taken_unnamed_names_the_others() -> None:
    """A stance that nobody named is said to be the first, with the names of the rest; a named one is not."""
    assert "is the first in the file" not in said(samples.fit_result())
    words = said(samples.fit_result(other_stances=("narrow", "tall")))
    assert 'Stance "broad" is the first in the file; --stance takes another: narrow, tall.' in words


def test_tail_what_is_assumed_alike_on_one_axle_is_one_line() -> None:
    """Places of one axle with the same value and reason share a line; another axle or value has its own."""
    made = tuple(
        Assumption(f"axle.{place}.blocks", value, "a reason")
        for place, value in (
            ("front.near.0", "inboard"),
            ("front.near.1", "nothing"),
            ("front.near.2", "inboard"),
            ("rear.near.0", "inboard"),
        )
    )
    words = said(samples.fit_result(assumptions=made))
    assert "axle.front.near.0.blocks, near.2.blocks = inboard (a reason)" in words
    assert "axle.front.near.1.blocks = nothing (a reason) axle.rear.near.0.blocks = inboard" in words


def test_head_each_gap_names_its_measure() -> None:
    """Every entry is printed, by axle and measure."""
    gaps = (
        NotChecked("front.lock", "axle.front.steering.lock_inner_wheel"),
        NotChecked("spare", "vehicle.spare"),
    )
    gaps += (NotChecked("rear.poses", "measured poses are not used yet"),)
    text = said(samples.fit_result(not_checked=gaps))
    assert "rear poses: measured poses are not used yet" in text
    assert "front lock: axle.front.steering.lock_inner_wheel is missing" in text
    assert "spare: vehicle.spare is missing" in text


def test_page_titles_that_steer_a_terminal_are_defused() -> None:
    """Control characters from a scenario never reach the page."""
    text = plain(page(samples.renamed(samples.fit_result(), "x\x1b[2Jy\x07"), "in"))
    assert "\x1b" not in text
    assert "x?[2Jy?" in text


def test_made_wheel_has_no_margin_in_what_is_cut_to_the_hub() -> None:
    """Of a wheel to be made the blank's range is no margin; of a bought one the margin is, and a miss is."""
    bore = Check("front.bore", "clearance", "bore passes the hub's pilot", 140.0, "mm across", True)
    assert measures.margin(bore, "in", made=True) == "can be made"
    assert measures.margin(bore, "mm") == "+140.00 mm"
    missed = replace(bore, margin=-1.0, ok=False)
    assert measures.margin(missed, "mm", made=True) == "-1.00 mm"
    fit = samples.axle_fit("front", checks=(bore,))
    bought = replace(fit, wheel=replace(fit.wheel, source="stock"))
    for one, told in ((replace(fit, wheel=replace(fit.wheel, source="made")), True), (bought, False)):
        whole = samples.plan(axles={"front": one})
        assert ("can be made" in every_check({1: whole}, 1)) == told
        judged = samples.check_result(axles=("front",), fits=(whole,))
        assert ("can be made" in said(judged)) == told
    budget = Check("plan.budget", "limit", "price of everything bought", 10550.0, "money", True)
    assert measures.margin(budget, "in") == "+10,550.00"
