"""Whole commands, timed as fresh processes."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[2]
IMPORT = ("-c", "import numpy, pandas; from ortools.sat.python import cp_model")
WELLROOM = ("-m", "wellroom")
WARM = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
"""A warm run finds the modules compiled."""

Figures = dict[str, float]


def spent(*arguments: str) -> tuple[float, float]:
    """Run a fresh Python with these arguments and return its (seconds, greatest memory [MiB]).

    An answer "no" (code 1) is an answer; raises RuntimeError for any other failure.
    """
    start = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, *arguments],
        cwd=ROOT,
        env=WARM,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
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
