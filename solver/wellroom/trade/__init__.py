"""Formulas of the trade: pure functions on numbers and arrays, each with its units and its source."""
