"""The same question asked in fresh processes: other hash seeds, shuffled and repeated catalog rows."""

from __future__ import annotations

import os
import random
import subprocess
import sys
from pathlib import Path

from wellroom.data import catalogs_dir, scenarios_dir

_PROGRAM = """
import sys
import wellroom
from wellroom.report import json_text
command, scenario, *catalogs = sys.argv[1:]
ask, catalog = getattr(wellroom, command), wellroom.load_catalog(catalogs, shipped=False)
sys.stdout.write(json_text(ask(wellroom.load_scenario(scenario), catalog)))
"""


def shuffled(folder: Path, seed: int) -> list[Path]:
    """Write the shipped catalogs with their rows in another order and some twice; return the files."""
    chance = random.Random(seed)
    out = []
    for source in sorted(catalogs_dir().glob("*.csv")):
        remarks, *rows = _parts(source.read_text(encoding="utf-8"))
        rows = rows + [row for row in rows if chance.random() < 0.1]
        chance.shuffle(rows)
        path = folder / f"{seed}_{source.name}"
        path.write_text(remarks + "".join(rows), encoding="utf-8")
        out.append(path)
    chance.shuffle(out)
    return out


def _parts(text: str) -> list[str]:
    """Return the head of a CSV text (remarks and header) and its rows, each with its line's end."""
    lines = text.splitlines(keepends=True)
    head = next(k for k, line in enumerate(lines) if not line.startswith("#")) + 1
    return ["".join(lines[:head]), *lines[head:]]


def one_run(folder: Path, scenario: str, seed: int, ask: str = "fit") -> str:
    """Return the JSON of a command on a shipped scenario, in a process of its own, from shuffled catalogs."""
    files = map(str, shuffled(folder, seed))
    path = str(scenarios_dir() / f"{scenario}.toml")
    env = os.environ | {"PYTHONHASHSEED": str(seed * 31)}
    command = [sys.executable, "-c", _PROGRAM, ask, path, *files]
    return subprocess.run(command, capture_output=True, check=True, text=True, env=env).stdout
