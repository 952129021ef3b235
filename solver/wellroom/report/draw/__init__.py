"""Drawings to scale: one model in millimetres, written as SVG or as DXF."""

from __future__ import annotations

from wellroom.report.draw.model import Drawing
from wellroom.report.draw.svg import svg_text

__all__ = ["Drawing", "svg_text"]
