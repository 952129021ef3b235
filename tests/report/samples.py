"""Results made by hand: an old fire tender with two plans and today's wheels, and answers of other kinds."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from wellroom.search.results import (
    Assumption,
    AxleFit,
    Blocker,
    Check,
    CheckResult,
    Contact,
    Counts,
    Fell,
    FitResult,
    Gearing,
    NotChecked,
    Place,
    Plan,
    ScoreTerm,
    Spare,
    TireChoice,
    WheelChoice,
)

SPRING = Contact(
    what="leaf spring",
    place=Place(-310.4, -212.7, 188.0),
    lock_deg=31.0,
    travel_mm=-50.8,
    tilt_deg=0.0,
    r_mm=362.876,
    y_mm=-212.7,
    side="left",
    extreme=("lock",),
)
LIP = Contact(
    what="lip",
    lock_deg=0.0,
    travel_mm=101.6,
    tilt_deg=9.5,
    side="right",
    extreme=("bump", "tilt"),
    r_mm=520.0,
)


def checks(axle: str, spring_mm: float = 12.7) -> tuple[Check, ...]:
    """Return four checks of one axle: a rating, two clearances, a wish that is missed."""
    return (
        Check(f"{axle}.tire_load", "rating", "tire load", 141.3, "kg", True),
        Check(f"{axle}.lip", "clearance", "lip", 31.759, "mm", True, LIP, asked=25.4),
        Check(
            f"{axle}.near.leaf_spring",
            "clearance",
            "leaf spring",
            spring_mm,
            "mm",
            spring_mm >= 0,
            SPRING,
            19.05,
        ),
        Check(f"{axle}.poke", "wish", "poke", -12.7, "mm", False),
    )


def axle_fit(axle: str, **changes: Any) -> AxleFit:
    """Return one axle of rank 1, with changes."""
    plain: dict[str, Any] = {
        "tire": TireChoice("norrland-mud-42", "42x14.50R20 126K", 1054.1, 372.11),
        "wheel": WheelChoice("made", "forge-20"),
        "quantity": 2,
        "rim_diameter_in": 20.0,
        "rim_width_in": 11.0,
        "backspace_in": 4.125,
        "backspace_mm": 104.775,
        "inset_mm": -47.625,
        "overall_width_mm": 2235.204,
        "poke_mm": 101.6,
        "inside_mm": 254.0,
        "gap_mm": 88.9,
        "window_mm": ((98.421, 114.309),),
        "windows_mm": {
            f"{axle}.lip": ((98.421, 180.0),),
            f"{axle}.near.leaf_spring": ((60.0, 114.309),),
            f"{axle}.tire_load": None,
        },
        "checks": checks(axle),
    }
    return AxleFit(**(plain | changes))


GEARING = Gearing(
    gearsets={"front": "front-488", "rear": "rear-488"},
    axle_ratios={"front": 4.88, "rear": 4.88},
    effective_ratio=4.0666667,
    change_pct=-0.437,
    rpm_at_cruise=2411.27,
    speedometer_error_pct=-3.2,
)


def plan(rank: int | None = 1, **changes: Any) -> Plan:
    """Return the plan of rank 1, with changes."""
    front = axle_fit("front")
    plain: dict[str, Any] = {
        "rank": rank,
        "score": 0,
        "price": 8416.5,
        "mass_kg": 512.0,
        "axles": {"front": front, "rear": axle_fit("rear", checks=checks("rear", 15.88))},
        "spare": Spare("front", front.tire, front.wheel),
        "gearing": GEARING,
        "checks": (Check("plan.budget", "limit", "budget", 1583.5, "", True),),
    }
    return Plan(**(plain | changes))


def today() -> Plan:
    """Return today's wheels, on which several things are unknown."""
    fit = axle_fit(
        "front",
        tire=TireChoice(None, "9.00-16", 890.0, 238.0),
        wheel=WheelChoice(None, None),
        rim_diameter_in=16.0,
        rim_width_in=6.5,
        poke_mm=-57.15,
        gap_mm=None,
        window_mm=None,
        windows_mm={},
    )
    return plan(
        None,
        score=None,
        price=None,
        mass_kg=None,
        gearing=None,
        spare=None,
        axles={"front": fit, "rear": fit},
    )


HEADER: dict[str, Any] = {
    "status": "proven",
    "scenario": "Retired mountain fire tender",
    "stance": "broad",
    "checked": ("front.mounting", "front.ride_height", "front.bump", "rear.mounting", "rear.load"),
    "not_checked": (NotChecked("front.tilt", "axle.front.travel.tilt"),),
    "assumptions": (Assumption("axle.front.steering.caster", "0 to 8 deg", "not measured"),),
}


def fit_result(**changes: Any) -> FitResult:
    """Return a proven answer with two plans, with changes."""
    second = plan(
        2,
        score=3,
        score_terms=(ScoreTerm("front.poke", 12.701, "mm", 2), ScoreTerm("rear.gap", 1.0, "mm", 1)),
        price=8650.0,
    )
    plain: dict[str, Any] = HEADER | {
        "counts": Counts(218, 305, 2),
        "fits": (plan(), second),
        "today": today(),
        "fell": (
            Fell("front.near.leaf_spring", "leaf spring", 1204),
            Fell("front.tire_load", "tire load", 8120),
            Fell("rear.lip", "lip", 0),
        ),
        "notes": ("an exact duplicate row was dropped: tires.csv line 12",),
        "warnings": ("the inner lock is below the outer lock",),
        "bound_mm": 0.25,
    }
    return FitResult(**(plain | changes))


def nothing() -> FitResult:
    """Return the answer that nothing fits."""
    return fit_result(
        status="none",
        counts=Counts(0, 12, 0),
        fits=(),
        blocked_by=(Blocker("front.near.leaf_spring", "leaf spring"), Blocker("front.poke", "poke")),
    )


def check_result(judges: str = "given", spring_mm: float = 12.7, **changes: Any) -> CheckResult:
    """Return a check of both axles; with ``spring_mm`` below 0 the front misses its spring."""
    front = axle_fit("front", checks=checks("front", spring_mm))
    both = plan(None, score=None, axles={"front": front, "rear": axle_fit("rear")})
    status = "proven" if spring_mm >= 0 else "none"
    plain: dict[str, Any] = HEADER | {"status": status, "judges": judges, "fits": (both,)}
    return CheckResult(**(plain | changes))


def renamed(result: FitResult, title: str) -> FitResult:
    """Return the result under another title."""
    return replace(result, scenario=title)
