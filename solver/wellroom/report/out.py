"""One answer, several forms: a page for people, CSV and JSON for programs. All from the results alone."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from dataclasses import replace
from typing import IO, Any

from wellroom.report.blocks import Block
from wellroom.report.cautions import CAUTIONS
from wellroom.report.check import check_page
from wellroom.report.compare import compare_page
from wellroom.report.fit import fit_page
from wellroom.report.head import places
from wellroom.report.order.text import order_page
from wellroom.report.page import print_page
from wellroom.report.regear import regear_page
from wellroom.report.vary import vary_page
from wellroom.report.why import why_page
from wellroom.search.document import ROW_COLUMNS, document, rows
from wellroom.search.results import CheckResult, FitResult, Header
from wellroom.units import Units

PAGES: dict[str, Callable[[Any, Units], list[Block]]] = {
    "fit": fit_page,
    "check": check_page,
    "compare": compare_page,
    "vary": vary_page,
    "regear": regear_page,
    "order": order_page,
    "why": why_page,
}


def page(result: Header, units: Units) -> list[Block]:
    """Return the page of an answer in the reader's units."""
    return PAGES[result.command](result, units)


def show(result: Header, units: Units, stream: IO[str]) -> None:
    """Write the page of an answer, styled where the stream is a terminal."""
    print_page(page(result, units), stream)


def json_text(result: Header) -> str:
    """Return the JSON document with the caution texts, in ASCII, with a line end."""
    whole = replace(result, cautions=places(result))
    return json.dumps(document(whole, CAUTIONS), indent=1, allow_nan=False) + "\n"


def csv_text(result: Header) -> str:
    """Return one line per row of an answer under a heading (plans and axles: today's wheels first).

    Unknown is empty.
    """
    own: Any = result
    plans = isinstance(result, FitResult | CheckResult)
    columns, entries = (ROW_COLUMNS, rows(own)) if plans else (own.row_columns(), own.rows())
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, lineterminator="\n")
    writer.writeheader()
    writer.writerows(entries)
    return out.getvalue()
