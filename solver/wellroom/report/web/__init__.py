"""The answer as one page: a single file that needs nothing else."""

from __future__ import annotations

from wellroom.report.web.build import page_html
from wellroom.report.web.compare import compare_html
from wellroom.report.web.parts import Part
from wellroom.report.web.vary import vary_html
from wellroom.report.web.write import write_text

__all__ = ["Part", "compare_html", "page_html", "vary_html", "write_text"]
