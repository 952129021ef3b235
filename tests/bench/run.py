"""How long things take. One command, one run: ``.venv/bin/python tests/bench/run.py [--json] [--rounds N]``.

Whole commands are timed as fresh processes, turn by turn in the same round, so that a busy machine slows all
of them alike; what is inside is timed in this process. Every figure is the median of its rounds, in seconds
unless its name says otherwise; a ratio is to the bare import of ortools, pandas and numpy in the same round.
Large catalogs are made up from a seed. Figures are for comparing on one machine: nothing here is asserted.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Mapping
from pathlib import Path

FIT_ROUNDS, SWEEP_ROUNDS = 5, 3


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
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))  # where its neighbours are found
    from bench.commands import commands
    from bench.inside import inside
    from bench.many import many
    from bench.plain import against_plain

    few = min(SWEEP_ROUNDS, asked.rounds)
    figures = commands(asked.rounds) | inside(few) | many(few) | against_plain()
    if asked.json:
        print(json.dumps({name: round(value, 4) for name, value in figures.items()}, indent=2))
    else:
        print(table(figures))


if __name__ == "__main__":
    main()
