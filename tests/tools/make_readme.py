"""Renews the sample of output in the README: ``.venv/bin/python tests/tools/make_readme.py``."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
README = ROOT / "README.md"
_SAMPLE = re.compile(r"(```text\n\$ wellroom ([^\n]*)\n)(.*?)(```\n)", re.DOTALL)
_PARAGRAPHS = 3


def output(arguments: str) -> str:
    """Return what the command prints for these arguments where its output is not a terminal.

    Raises RuntimeError where it does not answer.
    """
    ran = subprocess.run(
        [sys.executable, "-m", "wellroom", *arguments.split()],
        cwd=ROOT,
        env=os.environ | {"COLUMNS": "80"},
        capture_output=True,
        encoding="utf-8",
        timeout=300,
        check=False,
    )
    if ran.returncode not in (0, 1):
        raise RuntimeError(f"wellroom {arguments} ended with {ran.returncode}: {ran.stderr}")
    return ran.stdout


def renewed(text: str) -> str:
    """Return the README's text with the first paragraphs of the command's output in its sample.

    Raises ValueError where there is not exactly one sample.
    """
    if len(_SAMPLE.findall(text)) != 1:
        raise ValueError("the README must hold one block that starts with '$ wellroom '")

    def put(found: re.Match[str]) -> str:
        shown = "\n\n".join(output(found[2]).split("\n\n")[:_PARAGRAPHS])
        return f"{found[1]}{shown.rstrip()}\n{found[4]}"

    return _SAMPLE.sub(put, text)


if __name__ == "__main__":
    README.write_text(renewed(README.read_text(encoding="utf-8")), encoding="utf-8")
