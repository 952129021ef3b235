"""A headless browser that is already there; tests are skipped, with a word, where it is not."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

PLACES = ("chromium", "chromium-browser", "google-chrome", "chrome")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-sync",
]


@contextmanager
def launched() -> Iterator[Any]:
    """Give a running browser; skips the test where none can be had."""
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    path = next((found for name in PLACES if (found := shutil.which(name))), None)
    if path is None:
        pytest.skip("no chromium on this machine: the page is not looked at in a browser")
    with api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        try:
            yield browser
        finally:
            browser.close()


SIZES = {"phone": (360, 740), "tablet": (820, 1180), "desk": (1280, 900), "wide": (1920, 1080)}


class Opened:
    """A page opened at a size, with all that it said and asked for."""

    def __init__(
        self, browser: Any, file: Path, size: str = "desk", scheme: str = "light", scripts: bool = True
    ) -> None:
        wide, high = SIZES[size]
        self.context = browser.new_context(
            viewport={"width": wide, "height": high}, color_scheme=scheme, java_script_enabled=scripts
        )
        self.page = self.context.new_page()
        self.said: list[str] = []
        self.asked: list[str] = []
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(file.as_uri())

    def __enter__(self) -> Opened:
        return self

    def __exit__(self, *_: object) -> None:
        self.context.close()


def visible(page: Any, selector: str) -> list[str]:
    """Return the text of what is shown of a selector."""
    found = page.locator(selector)
    return [found.nth(k).inner_text() for k in range(found.count()) if found.nth(k).is_visible()]


def too_wide(page: Any) -> int:
    """Return by how much a page is wider than its window [px]."""
    return int(page.evaluate("document.documentElement.scrollWidth - window.innerWidth"))


def barriers(page: Any) -> list[tuple[str, str, list[str]]]:
    """Return what axe-core calls serious or critical of a page as it is shown: rule, help, places."""
    script = pytest.importorskip("axe_core_python", reason="axe-core is not installed").__name__
    page.evaluate((files(script) / "axe.min.js").read_text(encoding="utf-8") + ";0")
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")["violations"]
    return [
        (one["id"], one["help"], [node["html"][:200] for node in one["nodes"]][:5])
        for one in found
        if one["impact"] in ("serious", "critical")
    ]


def texts_on_texts(page: Any) -> list[Any]:
    """Return the pairs of texts of a shown drawing that overlap as the browser really sets them."""
    return list(page.evaluate(_TEXTS_ON_TEXTS))


_TEXTS_ON_TEXTS = """() => [...document.querySelectorAll("svg")].filter(
  svg => svg.getClientRects().length).map(svg => {
  const boxes = [...svg.querySelectorAll("text")].map(t => {
    const b = t.getBoundingClientRect();
    return [b.left, b.top, b.right, b.bottom, t.textContent];
  });
  const out = [];
  for (let i = 0; i < boxes.length; i++) for (let j = 0; j < i; j++) {
    const a = boxes[i], b = boxes[j];
    const x = Math.min(a[2], b[2]) - Math.max(a[0], b[0]);
    const y = Math.min(a[3], b[3]) - Math.max(a[1], b[1]);
    const row = Math.min(a[3] - a[1], b[3] - b[1], a[2] - a[0], b[2] - b[0]);
    if (x > 0.3 * row && y > 0.3 * row) out.push([a[4], b[4]]);
  }
  return [svg.querySelector("title").textContent, out];
}).filter(entry => entry[1].length)"""
