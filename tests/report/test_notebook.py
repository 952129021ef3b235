"""What a notebook shows of a result: the answer, tables, charts, in text that is safe and needs nothing."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace
from typing import Any

import pytest

import wellroom
from report.pictured import FEW, catalog, compared, pictures, scenario, swept
from wellroom.report.notebook import html

LOCK = "axle.front.steering.lock_inner_wheel=24..32:2"


def shown(result: Any) -> str:
    """Return what a notebook asks a result for."""
    return str(result._repr_html_())


def results() -> dict[str, Any]:
    """Return a result of every kind."""
    read = scenario("fire_tender")
    return {
        "fit": wellroom.fit(read, catalog(), stance="saddle", top=2, tires=FEW),
        "check": wellroom.check(read, catalog()),
        "compare": compared().result,
        "vary": swept(LOCK),
        "regear": wellroom.regear(read, catalog()),
        "why": wellroom.why(scenario("nothing_fits"), catalog()),
    }


@pytest.mark.parametrize("kind", ["fit", "check", "compare", "vary", "regear", "why"])
def test_notebook_shows_answer_tables_and_cautions(kind: str) -> None:
    """The answer stands first, tables follow, nothing is loaded from elsewhere, every tag is closed."""
    result = results()[kind]
    text = shown(result)
    assert text.count('<p class="good">Yes: ') + text.count('<p class="bad">No: ') == 1
    assert "<table>" in text
    assert "Not checked" in text
    assert "trial fit" in text
    for forbidden in ("<script", "<link", "<img", "src=", "url("):
        assert forbidden not in text
    for tag in ("div", "table", "details", "svg", "p", "ul"):
        assert len(re.findall(f"<{tag}[ >]", text)) == text.count(f"</{tag}>"), tag


def test_notebook_draws_what_a_result_carries() -> None:
    """Windows of the best or the judged on each axle, the sweep's chart; not the same in letters as well."""
    every = {kind: shown(result) for kind, result in results().items()}
    assert {kind: text.count("<svg") for kind, text in every.items()} == {
        "fit": 2,
        "check": 2,
        "compare": 0,
        "vary": 1,
        "regear": 0,
        "why": 0,
    }
    for text in every.values():
        assert "====" not in text
        assert "####" not in text


def test_notebook_in_inches_is_the_same_answer_in_inches() -> None:
    """The reader's units are asked for by name; mm unless told."""
    result = pictures("fire_tender", "saddle").result
    assert "back mm" in html(result)
    assert "back in" in html(result, "in")
    assert html(result) == shown(result)


def test_notebook_escapes_a_hostile_title() -> None:
    """A title that looks like markup stays text."""
    result = replace(pictures("least").result, scenario="<img src=x onerror=alert(1)>")
    assert "<img" not in shown(result)


def test_notebook_costs_nothing_until_it_is_asked() -> None:
    """Importing the package and taking fit from it loads no report."""
    code = (
        "import sys, wellroom; wellroom.fit; wellroom.vary;"
        "print([m for m in sys.modules if m.startswith('wellroom.report') or m == 'jinja2'])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
