"""A scenario made ready to be asked: stance, swept axles, today's tires, driveline."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property, partial

from wellroom.catalog import Catalog
from wellroom.errors import Fault, RequestError
from wellroom.scenario.build import build_room
from wellroom.scenario.changes import unchanged
from wellroom.scenario.model import Scenario, Stance, Today
from wellroom.search import results
from wellroom.search.candidates import Asked, asked_of
from wellroom.search.clear import sweep_axle
from wellroom.search.gears import Driveline, driveline
from wellroom.search.hub import hub_size
from wellroom.search.request import own_wheel, today_tire
from wellroom.search.rims import rims_from
from wellroom.search.steer import Stand, stand
from wellroom.search.sweeps import Sweeps, room_key
from wellroom.search.tires import Tires

Progress = Callable[[str, float], None]


@dataclass(frozen=True)
class Case:
    """A scenario made ready: stance, swept axles with what they ask, today's tires, the driveline.

    ``as_is``: the same of the vehicle without its changes, which is what today's wheels are judged on; None
    where nothing is changed. ``sweeps`` remembers what was worked out. ``others``: the scenario's other
    stances, where none was named and its first was taken.
    """

    scenario: Scenario
    stance_name: str | None
    stance: Stance | None
    asked: dict[results.Axle, Asked]
    today: dict[results.Axle, Tires | None]
    line: Driveline
    as_is: Case | None
    sweeps: Sweeps
    others: tuple[str, ...] = ()

    def key(self, axle: results.Axle) -> int:
        """Return the same number for two cases whose combinations on an axle are the same."""
        return self._keys[axle]

    @cached_property
    def _keys(self) -> dict[results.Axle, int]:
        scenario = self.scenario
        limits = replace(scenario.limits, budget=None, mass=None)
        out: dict[results.Axle, int] = {}
        for axle, asked in self.asked.items():
            room = asked.swept.room
            own = replace(room.axle, axle_ratio=None, gear_family=None)
            of_axle = (room_key(room), room.lift, own, asked.wishes, asked.tread, asked.now)
            rest = (limits, scenario.vehicle, scenario.now, replace(scenario.change, axle_ratio=None))
            out[axle] = self.sweeps.handle((of_axle, rest))
        return out


def prepare(
    scenario: Scenario,
    catalog: Catalog,
    stance: str | None,
    progress: Progress | None = None,
    sweeps: Sweeps | None = None,
) -> Case:
    """Sweep a scenario's axles and gather what its combinations are held against.

    ``sweeps`` remembers what other cases of the same catalog have in common with this one. Raises
    RequestError for a stance that the scenario does not have.
    """
    sweeps = sweeps or Sweeps()
    name, chosen = _stance(scenario, stance)
    now = {axle: getattr(scenario.now, axle) for axle in results.AXLES}
    today = {
        axle: sweeps.once(("today's tire", wheels), partial(today_tire, wheels, catalog))
        for axle, wheels in now.items()
    }
    asked: dict[results.Axle, Asked] = {}
    for axle in results.AXLES:
        room = build_room(scenario, axle)
        swept = sweep_axle(room, progress, sweeps)
        asked[axle] = asked_of(scenario, swept, hub_size(room), chosen, _stand_now(today[axle], now[axle]))
    before = unchanged(scenario)
    as_is = None if before is scenario else prepare(before, catalog, stance, progress, sweeps)
    line = driveline(scenario, chosen, today)
    others = tuple(scenario.stance)[1:] if stance is None else ()
    return Case(scenario, name, chosen, asked, today, line, as_is, sweeps, others)


def _stand_now(tire: Tires | None, now: Today | None) -> Stand | None:
    wheel = own_wheel(now)
    if tire is None or wheel is None:
        return None
    rim = rims_from([wheel])
    return stand(tire, rim, float(rim.backspace_low[0]))


def restanced(case: Case, stance: str | None) -> Case:
    """Return a case under another stance of its scenario; nothing is swept again."""
    return _with_stance(case, *_stance(case.scenario, stance))


def wishless(case: Case) -> Case:
    """Return a case without any wishes; nothing is swept again."""
    return _with_stance(case, None, None)


def _with_stance(case: Case, name: str | None, chosen: Stance | None) -> Case:
    asked = {
        axle: asked_of(case.scenario, asked.swept, asked.hub, chosen, asked.now)
        for axle, asked in case.asked.items()
    }
    as_is = None if case.as_is is None else _with_stance(case.as_is, name, chosen)
    line = driveline(case.scenario, chosen, case.today)
    return replace(case, stance_name=name, stance=chosen, asked=asked, line=line, as_is=as_is, others=())


def _stance(scenario: Scenario, name: str | None) -> tuple[str | None, Stance | None]:
    if name is None:
        name = next(iter(scenario.stance), None)
    if name is None:
        return None, None
    if name not in scenario.stance:
        names = ", ".join(scenario.stance)
        expected = f"one of {names}" if names else "no --stance: this scenario has none"
        raise RequestError([Fault("--stance", 0, "stance", repr(name), expected)])
    return name, scenario.stance[name]
