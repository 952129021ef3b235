"""A scenario from its file: the one way in."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from wellroom.errors import Fault, ScenarioError
from wellroom.scenario.assume import complete
from wellroom.scenario.base import slug
from wellroom.scenario.checks import all_problems
from wellroom.scenario.faults import Locator, Place, Problem, within
from wellroom.scenario.lines import line_map
from wellroom.scenario.model import Document, Notice, Scenario
from wellroom.scenario.notices import all_doubts
from wellroom.scenario.read import read
from wellroom.scenario.sets import apply_sets
from wellroom.scenario.words import place_text, printable

_MOST_BYTES = 1_000_000
_AT_LINE = re.compile(r"\s*\(at line (\d+), column (\d+)\)$")


def load_scenario(path: str | Path, sets: Sequence[str] = ()) -> Scenario:
    """Return the checked scenario in a TOML file, with ``sets`` (PATH=VALUE) put over it.

    Raises ScenarioError with all faults of the file, in its order; no other exception, whatever the file is.
    """
    file = printable(str(path))
    return parse_scenario(_text_of(path, file), file, sets)


def parse_scenario(text: str, file: str, sets: Sequence[str] = ()) -> Scenario:
    """Return the checked scenario in a TOML text; ``file`` is the name that faults carry."""
    raw = _tables(text, file)
    done, refused = apply_sets(raw, sets)
    locator = Locator(file, _line_map(text), done)
    document, problems, removed = read(raw)
    if document is not None:
        problems += _not_yet_named(all_problems(document), problems, removed)
    faults = [Fault(label, 0, place_text(p.place), p.found, p.expected) for label, p in refused]
    faults += sorted(
        (locator.fault(problem) for problem in problems), key=lambda fault: (fault.line == 0, fault.line)
    )
    if faults or document is None:
        raise ScenarioError(faults)
    return _finished(document, text, file, locator, sets)


@lru_cache(maxsize=2)
def _line_map(text: str) -> Mapping[Place, int]:
    """Return where everything stands; one text is often read again with other values put over it."""
    return line_map(text)


def _finished(document: Document, text: str, file: str, locator: Locator, sets: Sequence[str]) -> Scenario:
    whole, assumptions = complete(document)
    notices = tuple(Notice(*locator.at(place), place_text(place), says) for place, says in all_doubts(whole))
    return Scenario.of(
        whole,
        file=file,
        text=text,
        slug=slug(Path(file).stem) or "scenario",
        sets=tuple(sets),
        assumptions=assumptions,
        warnings=notices,
        lines={place_text(place): line for place, line in locator.lines.items()},
    )


def _not_yet_named(found: list[Problem], named: list[Problem], removed: list[Place]) -> list[Problem]:
    """Return what the comparing checks found, but for what hangs on a place that is faulty by itself."""

    faults = [place for place in (*(problem.place for problem in named), *removed) if place]

    def hangs(place: Place) -> bool:
        return any(within(place, faulty) for faulty in faults)

    return [problem for problem in found if not any(map(hangs, (problem.place, *problem.others)))]


def _fail(file: str, line: int, found: str, expected: str, place: str = "the file") -> ScenarioError:
    return ScenarioError([Fault(file, line, place, found, expected)])


def _text_of(path: str | Path, file: str) -> str:
    try:
        if Path(path).is_dir():
            raise _fail(file, 0, "a directory", "a scenario file, as fire_tender.toml")
        with open(path, "rb") as stream:
            data = stream.read(_MOST_BYTES + 1)
    except FileNotFoundError:
        raise _fail(file, 0, "no such file", "a scenario file") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _fail(file, 0, f"that it can't be read ({reason})", "a scenario file") from None
    if len(data) > _MOST_BYTES:
        raise _fail(file, 0, "more than a megabyte", "a scenario file, a few kilobytes of TOML")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise _fail(file, line, f"the byte 0x{data[error.start]:02x}", "text in UTF-8") from None
    if not text.strip():
        raise _fail(file, 1, "an empty file", "a scenario; the least one has title, units and both axles")
    return text


def _tables(text: str, file: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        at = _AT_LINE.search(message)
        line = int(at[1]) if at else text.count("\n") + 1
        column = f" at column {at[2]}" if at else " at the end"
        what = _AT_LINE.sub("", message).replace(" (at end of document)", "")
        raise _fail(
            file, line, f"what is no TOML{column} ({_one_line(what)})", _toml_hint(text, line)
        ) from None
    except ValueError:  # a number of more digits than Python converts
        line = next((n for n, row in enumerate(text.split("\n"), 1) if re.search(r"\d{4000}", row)), 1)
        raise _fail(file, line, "a number of thousands of digits", "a number of a believable size") from None
    except RecursionError:
        raise _fail(file, 1, "tables or lists nested too deep", "a scenario") from None


def _toml_hint(text: str, line: int) -> str:
    """Return what the line that TOML stumbled over should be, with the usual slips of builders named."""
    rows = text.split("\n")
    row = rows[line - 1] if line <= len(rows) else ""
    key = re.match(r"\s*([A-Za-z0-9_-]+)\s*=", row)
    where = f"a value for {key[1]} that is TOML" if key else "key = value, [table] or [[list of tables]]"
    if re.search(r"=\s*[0-9][^\"'#]*[ /\"'±-]", row):
        return f"{where}; text such as 24 1/8 stands in quotes"
    return where


def _one_line(text: str) -> str:
    return printable(" ".join(text.split()))[:120]
