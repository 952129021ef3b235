"""The catalogs of tires, rim blanks, stocked wheels, adapters and gear sets.

Nothing is imported until it is asked for: the columns need no pandas, the loader does.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wellroom.catalog.cells import parse_outline, parse_studs

if TYPE_CHECKING:
    from wellroom.catalog.load import Catalog, load_catalog

__all__ = ["Catalog", "load_catalog", "parse_outline", "parse_studs"]


def __getattr__(name: str) -> Any:
    if name in ("Catalog", "load_catalog"):
        from wellroom.catalog import load

        return getattr(load, name)
    raise AttributeError(name)
