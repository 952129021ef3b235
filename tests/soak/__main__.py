"""The soak: ``.venv/bin/python -m tests.soak [--count 10000] [--seed 1] [--same 20]``, from the checkout.

Runs ``--count`` mutated scenarios and small catalogs: each must give an answer, or a named fault that names
the mutated place. Then ``--same`` runs of fit in processes of their own, with shuffled and doubled catalog
rows and other hash seeds: all must give the same bytes. Exit code 0 only if all of it holds. Prints figures.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from soak import same
from soak.run import Tally, soak


def main() -> int:
    """Run the soak and return its exit code."""
    parser = argparse.ArgumentParser(prog="python -m tests.soak", description=__doc__)
    parser.add_argument("--count", type=int, default=10_000, help="mutants to try")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--same", type=int, default=20, help="runs that must give the same bytes")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        tally = soak(asked.count, asked.seed, Path(folder), say=print)
        report(tally)
        answers = Counter(same.one_run(Path(folder), "wagon_flush", seed) for seed in range(asked.same))
        print(f"the same bytes: {asked.same} runs, {len(answers)} different answers")
    return 0 if tally.good and len(answers) <= 1 else 1


def report(tally: Tally) -> None:
    """Print the figures."""
    print(f"mutants {tally.count}, read {tally.parsed} ({100.0 * tally.parsed / max(tally.count, 1):.0f} %)")
    print(f"answers {tally.answers}, named faults {tally.faults}, bad {len(tally.bad)}")
    print(f"keys hit {len(tally.hit)} of {len(tally.all_keys)}, slowest {tally.slowest:.1f} s")
    if tally.missed:
        print("not hit: " + ", ".join(sorted(tally.missed)))


if __name__ == "__main__":
    sys.exit(main())
