"""Answers for people and for programs, made from results alone."""

from __future__ import annotations

from wellroom.report.out import csv_text, json_text, page, show

__all__ = ["csv_text", "json_text", "page", "show"]
