"""The scenario file: what a builder measured and wants, read, checked and completed."""

from __future__ import annotations

from wellroom.scenario.load import load_scenario, parse_scenario
from wellroom.scenario.model import Scenario
from wellroom.scenario.tables import schema

__all__ = ["Scenario", "load_scenario", "parse_scenario", "schema"]
