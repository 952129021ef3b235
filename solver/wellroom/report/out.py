"""One answer, several forms: a page for people, CSV and JSON for programs. All from the results alone."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from typing import IO

from wellroom.report.blocks import Block
from wellroom.report.cautions import CAUTIONS
from wellroom.report.check import check_page
from wellroom.report.fit import fit_page
from wellroom.report.head import places
from wellroom.report.page import print_page
from wellroom.search.results import ROW_COLUMNS, FitResult, Result, document, rows
from wellroom.units import Units


def page(result: Result, units: Units) -> list[Block]:
    """Return the page of an answer in the reader's units."""
    return fit_page(result, units) if isinstance(result, FitResult) else check_page(result, units)


def show(result: Result, units: Units, stream: IO[str]) -> None:
    """Write the page of an answer, styled where the stream is a terminal."""
    print_page(page(result, units), stream)


def json_text(result: Result) -> str:
    """Return the JSON document with the caution texts, in ASCII, with a line end."""
    whole = replace(result, cautions=places(result))
    return json.dumps(document(whole, CAUTIONS), indent=1, allow_nan=False) + "\n"


def csv_text(result: Result) -> str:
    """Return one line per plan and axle under a heading, today's wheels first; unknown is empty."""
    out = io.StringIO()
    writer = csv.DictWriter(out, ROW_COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows(result))
    return out.getvalue()
