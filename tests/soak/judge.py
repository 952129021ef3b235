"""What becomes of a mutant: an answer, a named fault, or something to be put right."""

from __future__ import annotations

import json
import re
import time
import traceback
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest.mock import patch

from catalog.sheets import Sheet
from soak.mutants import Mutant, cheap_text
from wellroom import check, fit, load_catalog, load_scenario, why
from wellroom.catalog.spec import TABLES
from wellroom.errors import Fault, InputError, RequestError
from wellroom.report import json_text
from wellroom.search import ways

TRIALS = 8
"""Scenarios that why tries for a mutant: enough to go through all of its code."""


@dataclass(frozen=True)
class Outcome:
    """``sort``: answer, fault, or bad; ``parsed``: whether the mutant was read at all."""

    mutant: Mutant
    sort: str
    parsed: bool
    says: str
    seconds: float


class Bench:
    """A folder with small catalogs and the base scenario, in which mutants are tried."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.files = {table.name: Sheet(table, 8).write(folder) for table in TABLES}
        self.catalog = load_catalog(list(self.files.values()), shipped=False)
        base = folder / "base.toml"
        base.write_text(cheap_text(), encoding="utf-8")
        self.base = load_scenario(base)
        self.tried = 0

    def outcome(self, mutant: Mutant) -> Outcome:
        """Try a mutant: read it, and let fit, check or why (in turn) answer on it."""
        self.tried += 1
        began, parsed = time.perf_counter(), False
        try:
            scenario, catalog = self._read(mutant)
            parsed = True
            sort, says = self._ask(scenario, catalog)
        except InputError as error:
            wrong = unnamed(mutant, error.faults)
            sort, says = ("fault", str(error.faults[0])) if wrong is None else ("bad", wrong)
        except Exception:
            sort, says = "bad", " / ".join(traceback.format_exc(limit=-2).split("\n")[1:])
        return Outcome(mutant, sort, parsed, says, time.perf_counter() - began)

    def _read(self, mutant: Mutant) -> tuple[Any, Any]:
        if mutant.kind == "scenario":
            path = self.folder / "mutant.toml"
            path.write_bytes(mutant.text.encode("utf-8", "surrogatepass"))
            return load_scenario(path), self.catalog
        path = self.folder / "mutant.csv"
        path.write_bytes(mutant.text.encode("utf-8"))
        others = [file for name, file in self.files.items() if name != mutant.kind]
        return self.base, load_catalog([*others, path], shipped=False)

    def _ask(self, scenario: Any, catalog: Any) -> tuple[str, str]:
        ask = (fit, check, fit, check, why)[self.tried % 5]
        more: dict[str, Any] = {} if ask is check else {"top": 2}
        try:
            with patch.object(ways, "MOST_TRIALS", TRIALS):
                result: Any = ask(scenario, catalog, **more)
        except RequestError as error:  # nothing to judge: today's wheels are not known
            if "now" not in str(error):
                raise
            result = fit(scenario, catalog, top=2)
        text = json_text(result)
        json.loads(text, parse_constant=_no_constant)
        return "answer", result.status


def _no_constant(name: str) -> float:
    raise ValueError(f"{name} in the JSON")


def unnamed(mutant: Mutant, faults: tuple[Fault, ...]) -> str | None:
    """Return what is wrong with the faults of a mutant, None where one of them names the mutated place."""
    if not faults:
        return "refused without a fault"
    for fault in faults:
        if "\n" in str(fault) or not str(fault).isprintable():
            return f"a fault that is no one line: {fault!s:.200}"
    if any(_names(mutant, fault) for fault in faults):
        return None
    return f"no fault names {mutant.places or mutant.lines}: " + " | ".join(map(str, faults[:4]))


def _names(mutant: Mutant, fault: Fault) -> bool:
    if fault.place in mutant.places or any(
        fault.place.startswith(f"{place}.") for place in mutant.places[:1]
    ):
        return True
    if mutant.kind != "scenario":
        return fault.line in mutant.lines or any(place in fault.place for place in mutant.places)
    if mutant.places and mutant.places[0] == "units":
        return True  # other units: every bare number of the file may be at fault
    if 0 in mutant.lines:  # mangled anywhere: struck or opened quotes move the fault onward
        return bool(fault.line or fault.place)
    if fault.line in mutant.lines or (mutant.places and mutant.places[0] in str(fault)):
        return True
    holder = mutant.places[1] if len(mutant.places) > 1 else ""
    if holder and re.search(rf"(?<![\w.]){re.escape(holder)}(?![\w.])", str(fault)):
        return True  # another place at fault, which says that it hangs on this one's table
    return holder.rpartition(".")[2].isdigit() and f"{holder}." in str(fault)  # one entry against another
