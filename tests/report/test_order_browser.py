"""The order sheet in a real browser: on a phone, and printed from there."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from report.browser import Opened, too_wide
from report.ordered import CASES, ordered
from wellroom.report.order.files import html_bytes

BROKEN = """() => {
  const out = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    if (!walk.currentNode.parentElement.closest("td")) continue;
    for (const found of walk.currentNode.data.matchAll(/[0-9]+(\\u00a0[0-9]+)?\\/[0-9]+|[0-9]+\\.[0-9]+/g)) {
      const range = document.createRange();
      range.setStart(walk.currentNode, found.index);
      range.setEnd(walk.currentNode, found.index + found[0].length);
      if (new Set([...range.getClientRects()].map(box => box.top)).size > 1) out.push(found[0]);
    }
  }
  return out;
}"""


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The sheets as HTML."""
    folder = tmp_path_factory.mktemp("orders")
    out = {}
    for case in CASES:
        out[case] = folder / f"{case}.html"
        out[case].write_bytes(html_bytes(ordered(case), "in"))
    return out


@pytest.mark.parametrize("case", CASES)
def test_order_sheet_fits_a_phone(browser: Any, files: dict[str, Path], case: str) -> None:
    """Only its tables and drawings scroll sideways, never the sheet."""
    with Opened(browser, files[case], "phone") as opened:
        assert too_wide(opened.page) <= 0
        assert opened.said == []


@pytest.mark.parametrize("case", CASES)
def test_order_sheet_breaks_no_number_on_paper(browser: Any, files: dict[str, Path], case: str) -> None:
    """A fraction in a narrow column stays whole: 19 13/1 over 6 is another length."""
    with Opened(browser, files[case]) as opened:
        page = opened.page
        page.emulate_media(media="print")
        page.set_viewport_size({"width": round(180.0 / 25.4 * 96.0), "height": 900})
        assert page.evaluate(BROKEN) == []


@pytest.mark.parametrize("case", ["saddle", "wagon"])
def test_order_sheet_has_no_foot_or_signature_alone_on_a_page(
    browser: Any, files: dict[str, Path], case: str
) -> None:
    """Whoever signs sees on the same page what is signed for."""
    tool = shutil.which("pdftotext")
    if tool is None:
        pytest.skip("pdftotext (poppler-utils) is not on this machine: the PDF is not read back")
    with Opened(browser, files[case]) as opened:
        data = opened.page.pdf(prefer_css_page_size=True)
    ran = subprocess.run([tool, "-", "-"], input=data, capture_output=True, timeout=60, check=True)
    pages = [page.split() for page in ran.stdout.decode().split("\f") if page.split()]
    assert all(len(page) > 20 for page in pages)
