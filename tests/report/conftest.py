"""What tests of pages in a browser share."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from report.browser import launched


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A browser for all tests of this module."""
    with launched() as started:
        yield started
