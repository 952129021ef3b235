"""The page of a ``why``: what can't go together, what comes nearest, and the ways out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wellroom.report import measures
from wellroom.report.blocks import Block, Column, Group, Heading, Row, Table, Text
from wellroom.report.fit import gearing_words, in_words, tight_words
from wellroom.report.head import head, quoted, tail
from wellroom.search.results import Check, Plan
from wellroom.units import Units

if TYPE_CHECKING:
    from wellroom.search.why_results import Clash, Near, Pull, Tried, Way, WhyResult

MOST_CLASHES = 6
_PLATE = "its maker's load rating, studs and pilot for this hub; never stack two"
_NOT_TRIED = (
    "Not among them, though a shop may do it: another brake (never below the original capacity), redrilled "
    "hubs, another axle, tires and wheels that are in no catalog here, springs that lift with a stop spacer "
    "as thick. Of moving the axle, lifting, flares and adapters one goes alone at each axle; where a pose "
    "was measured no stop is moved. A lower cost is easier on the vehicle: common practice, no source."
)


def why_page(result: WhyResult, units: Units) -> list[Block]:
    """Return the page of what stands in the way in the reader's units."""
    blocks: list[Block] = [answer(result, units), *head(result)]
    if result.aim is not None:
        blocks += [*_clashes(result), *_nearest(result, units), *_ways(result, units), *_tried(result, units)]
    return [*blocks, *tail(result)]


def answer(result: WhyResult, units: Units) -> Text:
    """Return the answer in one sentence."""
    name = quoted(result)
    if result.status == "unproven":
        return Text(f"Not decided for {name}: a limit struck before a proof.", "bad")
    out = _count(len(result.ways), "way out", "ways out")
    if result.best is None:
        return Text(f"No: nothing in these catalogs fits {name}; {out}.", "bad")
    best = in_words(result.best, units)
    if result.aim == "wishes":
        says = f"Something fits {name}, but no combination meets every wish; {out}. Best as it is: {best}."
        return Text(says, "good")
    wishes = "every wish is met" if result.stance else "no wishes were stated"
    return Text(f"Nothing stands in the way of {name}: {wishes} by {best}.", "good")


def _count(number: int, one: str, more: str) -> str:
    return f"1 {one} below" if number == 1 else f"{number or 'no'} {more}" + (" below" if number else "")


def _what(result: WhyResult) -> str:
    return "fit" if result.aim == "fit" else "meet every wish"


# --- what can't go together -----------------------------------------------------------------------


def _clashes(result: WhyResult) -> list[Block]:
    """Say for each part what can't go together, a line for each set."""
    blocks: list[Block] = [Heading("What can't go together")]
    if not result.clashes:
        return [*blocks, Text("Nothing was found to clash.", indent=2)]
    for part in dict.fromkeys(clash.part for clash in result.clashes):
        mine = [clash for clash in result.clashes if clash.part == part]
        rest = "; any one part of it left out, the rest can" if any(len(c.ids) > 1 for c in mine) else ""
        blocks.append(Text(f"{_who(mine[0])}. No line below can be met whole{rest}:", indent=2, hang=2))
        blocks += [Text(" + ".join(_parts(clash)), indent=4, hang=2) for clash in mine[:MOST_CLASHES]]
        if len(mine) > MOST_CLASHES or not result.clashes_complete:
            blocks.append(Text("and others", indent=4))
    return blocks


def _parts(clash: Clash) -> list[str]:
    return [_required(id_, words) for id_, words in zip(clash.ids, clash.wordings, strict=True)]


def _who(clash: Clash) -> str:
    if clash.part == "plan":
        return "front and rear together: each has what fits by itself"
    if clash.pairs:
        return f"{clash.part}: {clash.pairs:,} pairs of tire and rim meet every rating"
    return f"{clash.part}: no pair of tire and rim meets every rating"


def _required(id_: str, words: str) -> str:
    side = id_.rsplit(".", 1)[-1]
    return f"{words}, {side} side" if side in ("left", "right") else words


# --- what comes nearest -----------------------------------------------------------------------------


def _nearest(result: WhyResult, units: Units) -> list[Block]:
    blocks: list[Block] = [Heading("What comes nearest, one axle by itself")]
    blocks += [Text(_near_words(near, units), indent=2, hang=2) for near in result.nearest]
    return blocks if result.nearest else []


def _near_words(near: Near, units: Units) -> str:
    fit = near.fit
    missed = [check for check in fit.checks if check.id in near.missed]
    wheel, back = measures.wheel(fit, units), measures.stands(fit, units)
    words = "; ".join(_miss_words(check, units) for check in missed)
    return f"{near.axle} {measures.short_size(fit.tire.size)} on {wheel}, backspace {back}: {words}"


def _miss_words(check: Check, units: Units) -> str:
    if check.contact is not None:
        return tight_words(check, units)
    short = measures.margin(check, units)
    return (
        f"not met: {check.wording}"
        if short == measures.DASH
        else f"{short.lstrip('-')} short: {check.wording}"
    )


# --- ways out -------------------------------------------------------------------------------------


def _ways(result: WhyResult, units: Units) -> list[Block]:
    blocks: list[Block] = [Heading(f"Ways out, the easiest on the vehicle first, to {_what(result)}")]
    most = result.most_changes
    if not result.ways:
        none = f"None of up to {most} of the changes below together, each up to its most, lets anything fit."
        if result.aim == "wishes":
            none = f"None of up to {most} of the changes below together, each up to its most, does."
        blocks.append(Text(none, indent=2, hang=2))
    for number, way in enumerate(result.ways, 1):
        blocks += _way(number, way, units)
    if not result.complete:
        says = "The search ended at its limit: there may be more ways out, none easier than where it ended."
        blocks.append(Text(says, "bad", indent=2, hang=2))
    return blocks


def _way(number: int, way: Way, units: Units) -> list[Block]:
    changes = "; ".join(pull_words(pull, units) for pull in way.pulls)
    blocks: list[Block] = [Text(f"{number}. cost {way.cost}: {changes}", "strong", indent=2, hang=3)]
    blocks.append(Text(f"then the best is {_plan_words(way.plan, units)}", indent=5, hang=2))
    follows = {pull.name.replace("_", " "): pull.follows for pull in way.pulls}
    blocks += [Text(f"{name}: {words}", indent=5, hang=2) for name, words in follows.items()]
    if any(fit.wheel.adapter_mm for fit in way.plan.axles.values()):
        blocks.append(Text(f"stocked adapter: {_PLATE}", indent=5, hang=2))
    sets = " ".join(f"--set '{one}'" for one in way.sets)
    blocks.append(Text(f"to see it whole: the same with fit, and {sets}", "dim", indent=5, hang=2))
    return blocks


def _plan_words(plan: Plan, units: Units) -> str:
    words = [in_words(plan, units)]
    if plan.score is not None:
        words.append("every wish met" if plan.score == 0 else f"score {plan.score}")
    if plan.price is not None:
        words.append(f"price {measures.money(plan.price)} without the changes")
    return ", ".join([*words, *gearing_words(plan)[:1]]) if any_gear(plan) else ", ".join(words)


def any_gear(plan: Plan) -> bool:
    """Return whether a plan asks for another ring-and-pinion set."""
    return plan.gearing is not None and any(plan.gearing.gearsets.values())


_WORDS = {
    "trim": "trim the {axle} lip by {by}",
    "roll_lip": "roll the {axle} lip flat",
    "stop_spacer": "a spacer of {by} under the {axle} bump stops",
    "steering_stop": "steering stops that take {by} off both {axle} locks",
    "body_lift": "lift the body by {by}",
    "spring_lift": "springs that lift the {axle} by {by}",
    "flare": "a flare {by} broad at the {axle}",
    "centre_axle": "move the {axle} axle {by} to the {way}",
    "axle_forward": "move the {axle} axle {by} {way}",
    "adapter": "adapters {to} thick on the {axle} hubs",
    "budget": "raise the budget to {to}",
    "mass": "allow {to} of wheels and tires",
    "overall_width": "allow {to} over the tires",
    "scrub_change": "allow the scrub radius to change by {to}",
    "load_reserve": "be content with {to} of load reserve",
    "same_wheel_all_round": "let front and rear wheels differ",
}
_WAYS = {"centre_axle": ("right", "left"), "axle_forward": ("forward", "rearward")}


def pull_words(pull: Pull, units: Units) -> str:
    """Return one change of a way out in words."""
    if pull.path.startswith("stance."):
        return f"take {pull.name.replace('_', ' ')} as a wish, no longer as a must"
    if pull.path.startswith("limits.") and pull.to is None and pull.name != "same_wheel_all_round":
        return f"give up the limit on {pull.name.replace('_', ' ')}"
    by = measures.amount(abs(pull.amount or 0.0), pull.unit, units, "up", sign=False)
    way_of = "down" if pull.name == "load_reserve" else "up"
    to = "" if pull.to is None else measures.amount(pull.to, pull.unit, units, way_of, sign=False)  # type: ignore[arg-type]  # one of the two
    forward, back = _WAYS.get(pull.name, ("", ""))
    way = forward if (pull.amount or 0.0) > 0.0 else back
    return _WORDS[pull.name].format(axle=pull.axle, by=_degrees(by), to=_degrees(to), way=way)


def _degrees(text: str) -> str:
    number, _, unit = text.partition(" ")
    if unit != "deg":
        return text
    number = number.rstrip("0").rstrip(".")
    return f"{number} degree" if number == "1" else f"{number} degrees"


def _tried(result: WhyResult, units: Units) -> list[Block]:
    """Return what was looked at: a row for each change, with the most of it and its cost."""
    rows: dict[tuple[str, ...], list[str]] = {}
    for one in result.tried:
        key = (one.name.replace("_", " "), _most(one, units), str(one.cost), one.cap or "")
        rows.setdefault(key, []).append(one.axle or "")
    columns = (Column("change"), Column("at"), Column("most", "right"), Column("cost", "right"), Column("by"))
    told = [
        Row((name, " and ".join(filter(None, axles)), most, cost, cap))
        for (name, most, cost, cap), axles in rows.items()
    ]
    blocks: list[Block] = [Heading("The changes that were looked at")]
    return [*blocks, Table(columns, (Group(tuple(told)),)), Text(_NOT_TRIED, "dim")]


def _most(one: Tried, units: Units) -> str:
    if one.most is None:
        return measures.DASH
    return _degrees(measures.amount(one.most, one.unit, units, "down", sign=False))
