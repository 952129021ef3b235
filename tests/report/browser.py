"""A headless browser that is already there; tests are skipped, with a word, where it is not."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
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
