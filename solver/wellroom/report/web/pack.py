"""A drawing's SVG made short for a page that holds many: the same picture in fewer letters."""

from __future__ import annotations

import re
from itertools import groupby

_NEEDLESS = re.compile(r' (?:fill|stroke)="#[0-9a-f]{6}"| text-anchor="start"')
_PATHS = re.compile(r'(?:<path d="[^"]*" [^>]*/>){2,}')
_PATH = re.compile(r'<path d="([^"]*)" ([^>]*)/>')
_LINE = re.compile(r"M[^MZ]*Z?")


def packed(svg: str) -> str:
    """Return an SVG of ours without colours (a page gives them by class), its paths shortened.

    Paths of one paint that follow each other become one, and a step along one axis names that axis alone.

    >>> packed('<path d="M1 2L3 2L3 4Z" class="a" fill="#000000"/><path d="M5 6L7 8" class="a"/>')
    '<path d="M1 2H3V4ZM5 6L7 8" class="a"/>'
    """
    return _PATHS.sub(_joined, _NEEDLESS.sub("", svg))


def _joined(run: re.Match[str]) -> str:
    paths = _PATH.findall(run.group())
    return "".join(
        f'<path d="{"".join(_short(path) for path, _ in same)}" {paint}/>'
        for paint, same in groupby(paths, lambda path: path[1])
    )


def _short(path: str) -> str:
    return _LINE.sub(_steps, path) if re.fullmatch(r"[MLZ\d. -]*", path) else path


def _steps(line: re.Match[str]) -> str:
    text = line.group()
    first, *rest = text[1:].rstrip("Z").split("L")
    out, before = [f"M{first}"], first.split(" ")
    for point in rest:
        x, y = here = point.split(" ")
        out.append(f"H{x}" if y == before[1] else f"V{y}" if x == before[0] else f"L{point}")
        before = here
    return "".join(out) + ("Z" if text.endswith("Z") else "")
