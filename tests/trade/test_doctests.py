"""The examples in the formulas' docstrings, and the rules that the room keeps."""

from __future__ import annotations

import ast
import doctest
import importlib
import pkgutil
from pathlib import Path

import pytest

import wellroom.trade

MODULES = sorted(info.name for info in pkgutil.iter_modules(wellroom.trade.__path__))


@pytest.mark.parametrize("name", MODULES)
def test_trade_docstrings_hold(name: str) -> None:
    """Every example gives what it says; all modules but the tables have some."""
    result = doctest.testmod(importlib.import_module(f"wellroom.trade.{name}"))
    assert result.failed == 0
    assert result.attempted > 0 or name == "sizes"


@pytest.mark.parametrize("name", MODULES)
def test_trade_imports_nothing_of_other_rooms(name: str) -> None:
    """The formulas import numpy, the standard library and each other."""
    source = Path(str(importlib.import_module(f"wellroom.trade.{name}").__file__)).read_text(encoding="utf-8")
    found = {
        node.module or ""
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("wellroom")
    }
    assert all(module.startswith("wellroom.trade.") for module in found)


def test_trade_init_holds_only_its_docstring() -> None:
    """The room does no work at import."""
    body = ast.parse(Path(str(wellroom.trade.__file__)).read_text(encoding="utf-8")).body
    assert len(body) == 1
    assert ast.get_docstring(ast.Module(body, [])) is not None
