"""How long things take. One command, one run: ``.venv/bin/python tests/bench/run.py [--json] [--rounds N]``.

Whole commands are timed as fresh processes, turn by turn in the same round, so that a busy machine slows all
of them alike; what is inside is timed in this process. Every figure is the median of its rounds, in seconds
unless its name says otherwise; a ratio is to the bare import of ortools, pandas and numpy in the same round.
Figures are for comparing on one machine: nothing here is asserted.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[2]
IMPORT = ("-c", "import numpy, pandas; from ortools.sat.python import cp_model")
WELLROOM = ("-m", "wellroom")
FIT_ROUNDS, SWEEP_ROUNDS = 5, 3

Figures = dict[str, float]


def spent(*arguments: str) -> tuple[float, float]:
    """Run a fresh Python with these arguments and return its (seconds, greatest memory [MiB]).

    An answer "no" (code 1) is an answer; raises RuntimeError for any other failure.
    """
    start = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, *arguments], cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    )
    with process:
        said = process.stderr.read() if process.stderr else b""
        _, status, used = os.wait4(process.pid, 0)
        seconds = time.perf_counter() - start
        process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 1) or said:
        raise RuntimeError(f"{' '.join(arguments)} ended with {process.returncode}: {said.decode()}")
    return seconds, used.ru_maxrss / 1024.0


def scenarios() -> list[str]:
    """Return the names of the shipped scenarios."""
    return sorted(path.stem for path in (ROOT / "scenarios").glob("*.toml"))


def commands(rounds: int) -> Figures:
    """Time whole commands, after one warm-up that fills the caches of the disk."""
    lines = {"python": ("-c", ""), "import": IMPORT, "help": (*WELLROOM, "--help")}
    lines |= {f"fit.{name}": (*WELLROOM, "fit", name) for name in scenarios()}
    lines["check.fire_tender"] = (*WELLROOM, "check", "fire_tender")
    for line in lines.values():
        spent(*line)
    seen = [{name: spent(*line) for name, line in lines.items()} for _ in range(rounds)]
    figures = {f"{name}_s": median(turn[name][0] for turn in seen) for name in lines}
    for name in lines:
        if name.startswith("fit."):
            figures[f"{name}_less_import_s"] = median(turn[name][0] - turn["import"][0] for turn in seen)
            figures[f"{name}_ratio"] = median(turn[name][0] / turn["import"][0] for turn in seen)
            figures[f"{name}_memory_mib"] = median(turn[name][1] for turn in seen)
    return figures


def timed(job: Callable[[], object], rounds: int) -> float:
    """Return the median seconds of a job."""
    seconds = []
    for _ in range(rounds):
        start = time.perf_counter()
        job()
        seconds.append(time.perf_counter() - start)
    return median(seconds)


def inside(rounds: int) -> Figures:
    """Time the parts of a fit: reading, the envelope of each axle end, windows of all pairs."""
    import numpy as np

    import wellroom
    from wellroom.geometry.envelope import sweep
    from wellroom.scenario.build import build_room
    from wellroom.search.candidates import thing_interval
    from wellroom.search.clear import sweep_axle
    from wellroom.search.stock import catalog_tires, in_service, made_rims, rims_from

    figures: Figures = {"read.catalogs_s": timed(wellroom.load_catalog, rounds)}
    for name in scenarios():
        path = ROOT / "scenarios" / f"{name}.toml"
        figures[f"read.{name}_s"] = timed(lambda path=path: wellroom.load_scenario(path), rounds)  # type: ignore[misc]  # bound early
        scenario = wellroom.load_scenario(path)
        for axle in ("front", "rear"):
            room = build_room(scenario, axle)
            for end in room.ends:
                key = f"sweep.{name}.{axle}.{end.side}"
                figures[f"{key}_s"] = timed(lambda end=end, room=room: sweep(end.items, room.motion), rounds)  # type: ignore[misc]  # bound early
                figures[f"{key}_samples"] = float(len(sweep(end.items, room.motion).r))
    catalog = wellroom.load_catalog()
    tires, rims = catalog_tires(catalog), rims_from(made_rims(catalog))
    tire, rim = np.nonzero(tires.code[:, None] == rims.code[None, :])
    axle_swept = sweep_axle(build_room(wellroom.load_scenario(ROOT / "scenarios/fire_tender.toml"), "front"))
    on_tires, on_rims = tires.take(tire), rims.take(rim)
    parts, mud = in_service(on_tires, on_rims), np.asarray(on_tires.kind == "mud", dtype=bool)

    def windows() -> None:
        for thing in axle_swept.things:
            thing_interval(thing, parts, on_rims.to_centre, mud)

    figures["windows.pairs"] = float(len(tire))
    figures["windows.things"] = float(len(axle_swept.things))
    figures["windows.sections_s"] = timed(lambda: in_service(on_tires, on_rims), rounds)
    figures["windows.all_s"] = timed(windows, rounds)
    each = len(tire) * len(axle_swept.things)
    figures["windows.per_million_s"] = figures["windows.all_s"] / each * 1e6
    return figures


def table(figures: Mapping[str, float]) -> str:
    """Return the figures as lines of a table, counts without decimals.

    >>> print(table({"help_s": 0.9996, "windows.pairs": 12000.0}))
    help_s          1.000
    windows.pairs  12,000
    """
    texts = {
        name: f"{value:,.3f}" if name.endswith(("_s", "_ratio")) else f"{value:,.0f}"
        for name, value in figures.items()
    }
    names, values = max(map(len, texts)), max(map(len, texts.values()))
    return "\n".join(f"{name:<{names}}  {text:>{values}}" for name, text in texts.items())


def main() -> None:
    """Print all figures."""
    parser = argparse.ArgumentParser(description="Time the commands and their parts.")
    parser.add_argument("--json", action="store_true", help="print one JSON object, figures by name")
    parser.add_argument("--rounds", type=int, default=FIT_ROUNDS, help="rounds of whole commands")
    asked = parser.parse_args()
    figures = commands(asked.rounds) | inside(min(SWEEP_ROUNDS, asked.rounds))
    if asked.json:
        print(json.dumps({name: round(value, 4) for name, value in figures.items()}, indent=2))
    else:
        print(table(figures))


if __name__ == "__main__":
    main()
