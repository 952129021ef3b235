"""On which line of a TOML text each place stands.

The text was accepted by ``tomllib`` before it is scanned here, so the scan only has to find, never to judge.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from contextlib import suppress

Place = tuple[str | int, ...]

_SPACE = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BLANK = re.compile(r"[ \t]*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BARE_VALUE = re.compile(r"[^,\]}#\n]*")
_BASIC = re.compile(r'"(?:[^"\\\n]|\\.)*"')
_LITERAL = re.compile(r"'[^'\n]*'")
_LONG_BASIC = re.compile(r'"""(?:[^"\\]|\\.|"{1,2}(?!"))*"{3,5}', re.DOTALL)
_LONG_LITERAL = re.compile(r"'''(?:[^']|'{1,2}(?!'))*'{3,5}", re.DOTALL)


def line_map(text: str) -> dict[Place, int]:
    """Return the 1-based line of every place of an accepted TOML text: tables, keys, items of lists.

    >>> lines = line_map("[axle.front]\\nload = 1\\n[[axle.front.lip]]\\nradius = 24")
    >>> lines["axle", "front", "lip", 0, "radius"]
    4
    """
    scan = _Scan(text)
    with suppress(RecursionError):  # nested deeper than anything a scenario holds: the lines so far must do
        scan.document()
    return scan.lines


class _Scan:
    """One pass over the text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[Place, int] = {}
        self.counts: dict[Place, int] = {}
        self.ends = [match.start() for match in re.finditer("\n", text)]

    def note(self, place: Place, at: int) -> None:
        """Remember the line of a place and of the tables that lead to it, the first time each is seen."""
        line = bisect_right(self.ends, at - 1) + 1
        for length in range(len(place), 0, -1):
            if place[:length] in self.lines:
                break
            self.lines[place[:length]] = line

    def skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:
            return ""
        self.at = match.end()
        return match.group()

    def document(self) -> None:
        table: Place = ()
        while True:
            self.skip(_SPACE)
            start = self.at
            if start >= len(self.text):
                return
            if self.text.startswith("[", start):
                table = self.header(start)
            else:
                self.pair(table)
            if self.at == start:  # never stand still, whatever the text is
                self.at += 1

    def header(self, start: int) -> Place:
        double = self.text.startswith("[[", start)
        self.at += 2 if double else 1
        keys = self.keys()
        self.skip(_BLANK)
        self.at += 2 if double else 1
        place = self.resolved(keys[:-1]) + keys[-1:]
        if double:
            self.counts[place] = self.counts.get(place, -1) + 1
            self.note(place, start)
            place = (*place, self.counts[place])
        elif place in self.counts:
            place = (*place, self.counts[place])
        self.note(place, start)
        return place

    def resolved(self, keys: Place) -> Place:
        """Return the place that a header's keys lead to: the last item of each list of tables."""
        place: Place = ()
        for key in keys:
            place = (*place, key)
            if place in self.counts:
                place = (*place, self.counts[place])
        return place

    def keys(self) -> Place:
        out: list[str] = []
        while True:
            self.skip(_BLANK)
            out.append(self.key())
            self.skip(_BLANK)
            if not self.text.startswith(".", self.at):
                return tuple(out)
            self.at += 1

    def key(self) -> str:
        if self.text.startswith('"', self.at):
            return _unescaped(self.skip(_BASIC))
        if self.text.startswith("'", self.at):
            return self.skip(_LITERAL)[1:-1]
        return self.skip(_BARE_KEY)

    def pair(self, table: Place) -> None:
        start = self.at
        place = table + self.keys()
        self.skip(_BLANK)
        self.at += 1  # the equals sign
        self.skip(_BLANK)
        self.note(place, start)
        self.value(place)

    def value(self, place: Place) -> None:
        start = self.at
        self.note(place, start)
        opening = self.text[start : start + 1]
        if opening == "[":
            self.items(place)
        elif opening == "{":
            self.inline(place)
        elif self.text.startswith('"""', start):
            self.skip(_LONG_BASIC)
        elif self.text.startswith("'''", start):
            self.skip(_LONG_LITERAL)
        elif opening == '"':
            self.skip(_BASIC)
        elif opening == "'":
            self.skip(_LITERAL)
        else:
            self.skip(_BARE_VALUE)

    def items(self, place: Place) -> None:
        self.at += 1
        index = 0
        while True:
            self.skip(_SPACE)
            if self.at >= len(self.text) or self.text[self.at] == "]":
                self.at += 1
                return
            self.value((*place, index))
            index += 1
            self.skip(_SPACE)
            if self.text.startswith(",", self.at):
                self.at += 1

    def inline(self, place: Place) -> None:
        self.at += 1
        while True:
            self.skip(_SPACE)
            if self.at >= len(self.text) or self.text[self.at] == "}":
                self.at += 1
                return
            self.pair(place)
            self.skip(_SPACE)
            if self.text.startswith(",", self.at):
                self.at += 1


def _unescaped(quoted: str) -> str:
    if "\\" not in quoted:
        return quoted[1:-1]
    import tomllib

    key = tomllib.loads(f"key = {quoted}")["key"]
    return str(key)
