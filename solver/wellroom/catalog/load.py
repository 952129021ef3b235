"""The catalogs: read, checked, merged; all or nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from wellroom.catalog.check import Checked, check_cells
from wellroom.catalog.cross import check_rows
from wellroom.catalog.read import capped, read_raw, show
from wellroom.catalog.spec import TABLES, Table
from wellroom.data import catalogs_dir
from wellroom.errors import CatalogError, Fault


@dataclass(frozen=True, eq=False)
class Catalog:
    """What can be bought: one DataFrame per kind, sorted by id, with a plain index.

    Columns are those of :mod:`wellroom.catalog.spec`, plus ``source_file`` and ``source_line``: where the row
    was read.
    Numbers are float64, whole numbers and ``bead_seat_deg`` int64, all others text. ``notes`` say what was
    dropped or replaced; they depend on the order of the files' rows, the tables do not (but ``source_line``).
    Treat the tables as read-only.
    """

    tires: pd.DataFrame
    blanks: pd.DataFrame
    wheels: pd.DataFrame
    adapters: pd.DataFrame
    gearsets: pd.DataFrame
    notes: tuple[str, ...] = ()

    def tables(self) -> dict[str, pd.DataFrame]:
        """Return the tables by name, in the order of the specification."""
        return {table.name: getattr(self, table.name) for table in TABLES}


def load_catalog(paths: Sequence[str | Path] = (), *, shipped: bool = True) -> Catalog:
    """Return the shipped catalogs with the builder's own files added.

    The kind of a file is told by its columns. In a builder's file a row with the id of a shipped row replaces
    it; a row that repeats another one exactly is dropped; both are noted. Raises CatalogError with every
    fault of every file: one fault and nothing is read.

    Args:
        paths: CSV files.
        shipped: Whether to start from the shipped catalogs.
    """
    notes: list[str] = []
    faults: list[Fault] = []
    base: dict[str, list[pd.DataFrame]] = {table.name: [] for table in TABLES}
    own: dict[str, list[pd.DataFrame]] = {table.name: [] for table in TABLES}
    if shipped:
        for table in TABLES:
            path = catalogs_dir() / f"{table.name}.csv"
            _load_file(path, path.name, base, notes, faults, table)
    for path in map(Path, paths):
        _load_file(path, str(path), own, notes, faults)
    tables: dict[str, pd.DataFrame] = {}
    for table in TABLES:
        rows = _merge_own(table, own[table.name], notes, faults)
        tables[table.name] = _merge(table, base[table.name], rows, notes)
    if faults:
        raise CatalogError(faults)
    return Catalog(**tables, notes=tuple(notes))


def _load_file(
    path: Path, name: str, into: dict[str, list[pd.DataFrame]], notes: list[str], faults: list[Fault],
    expected: Table | None = None,
) -> None:  # fmt: skip
    """Read one file into ``into``; its faults in the order of its lines and columns."""
    raw, found = read_raw(path, name)
    if raw is not None:
        if expected is not None and raw.table is not expected:
            found.append(Fault(name, 1, "header", f"the columns of {raw.table.name}", expected.name))
        checked = check_cells(raw)
        check_rows(checked)
        keep = _unique_rows(checked, notes)
        found += checked.faults
        if not found:
            into[raw.table.name].append(_frame(checked, keep))
    places = {column: place for place, column in enumerate(raw.table.names)} if raw is not None else {}
    faults += sorted(found, key=lambda fault: (fault.line, places.get(fault.place, -1)))


def _unique_rows(checked: Checked, notes: list[str]) -> list[int]:
    """Return the rows to keep; exact repeats are noted, one id with other values is a fault."""
    raw = checked.raw
    if "id" not in raw.cells:
        return []
    ids = checked.values["id"].tolist()
    good = checked.ok["id"].tolist()
    if len(set(ids)) == len(ids):
        return list(range(len(ids)))
    first: dict[str, int] = {}
    keep: list[int] = []
    dropped: list[int] = []
    clashes: list[tuple[int, int]] = []
    for row, (name, is_ok) in enumerate(zip(ids, good, strict=True)):
        earlier = first.setdefault(name, row)
        if earlier == row or not is_ok:
            keep.append(row)
        elif _same(checked, earlier, row):
            dropped.append(row)
        else:
            clashes.append((row, earlier))
    if dropped:
        lines = ", ".join(str(raw.lines[row]) for row in dropped[:10]) + ", ..." * (len(dropped) > 10)
        count = "1 row" if len(dropped) == 1 else f"{len(dropped)} rows"
        notes.append(f"{raw.file}: dropped {count} that repeat earlier ones exactly (line {lines})")
    checked.faults += capped(
        Fault(raw.file, raw.lines[row], "id", f"{show(ids[row])} again, with other values",
              f"each id once; line {raw.lines[earlier]} has it")
        for row, earlier in clashes
    )  # fmt: skip
    return keep


def _same(checked: Checked, one: int, other: int) -> bool:
    """Tell whether two rows hold the same values; cells that are no good are compared as written."""
    for name, values in checked.values.items():
        if checked.ok[name][one] and checked.ok[name][other]:
            if values[one] != values[other]:
                return False
        elif checked.text(name, one).strip() != checked.text(name, other).strip():
            return False
    return True


def _frame(checked: Checked, keep: list[int]) -> pd.DataFrame:
    """Build the typed table of the rows to keep, sorted by id."""
    raw = checked.raw
    ids = checked.values["id"]
    rows = np.array(sorted(keep, key=lambda row: ids[row]), dtype=np.intp)
    data: dict[str, object] = {}
    for column in raw.table.columns:
        values = checked.values[column.name][rows]
        if column.kind == "integer" or column.name == "bead_seat_deg":
            data[column.name] = values.astype(np.int64)
        elif column.is_numeric:
            data[column.name] = values
        else:
            data[column.name] = pd.array(values.tolist(), dtype="str")
    data["source_file"] = pd.array([raw.file] * len(rows), dtype="str")
    data["source_line"] = np.array(raw.lines, dtype=np.int64)[rows]
    return pd.DataFrame(data)


def _empty(table: Table) -> pd.DataFrame:
    data: dict[str, object] = {}
    for column in table.columns:
        if column.kind == "integer" or column.name == "bead_seat_deg":
            data[column.name] = np.empty(0, dtype=np.int64)
        else:
            data[column.name] = np.empty(0) if column.is_numeric else pd.array([], dtype="str")
    data["source_file"] = pd.array([], dtype="str")
    data["source_line"] = np.empty(0, dtype=np.int64)
    return pd.DataFrame(data)


def _merge_own(
    table: Table, frames: list[pd.DataFrame], notes: list[str], faults: list[Fault]
) -> list[pd.DataFrame]:
    """Settle ids that stand in several of the builder's files: the same values once, other values a fault."""
    if len(frames) < 2:
        return frames
    files_with = Counter(name for frame in frames for name in frame["id"])
    seen: dict[str, tuple[tuple[object, ...], str]] = {}
    merged = []
    for frame in frames:
        keep = []
        files, lines = frame["source_file"].tolist(), frame["source_line"].tolist()
        for row, name in enumerate(frame["id"]):
            if files_with[name] == 1:
                keep.append(row)
                continue
            file, line = files[row], lines[row]
            entry = (tuple(frame[column].iat[row] for column in table.names), f"{file}:{line}")
            earlier = seen.setdefault(name, entry)
            if earlier is entry:
                keep.append(row)
            elif earlier[0] == entry[0]:
                notes.append(f"{file}:{line}: {name} repeats {earlier[1]} exactly and was dropped")
            else:
                found = f"{show(name)} again, with other values"
                faults.append(Fault(file, line, "id", found, f"each id once; {earlier[1]} has it"))
        merged.append(frame.iloc[keep])
    return merged


def _merge(table: Table, base: list[pd.DataFrame], own: list[pd.DataFrame], notes: list[str]) -> pd.DataFrame:
    """Join shipped and own rows; own rows replace shipped ones of the same id."""
    if not own:
        return base[0] if base else _empty(table)
    if base:
        replaced = set(base[0]["id"]) & {name for frame in own for name in frame["id"].tolist()}
        if replaced:
            for frame in own:
                places = zip(frame["id"], frame["source_file"], frame["source_line"], strict=True)
                for name, file, line in places:
                    if name in replaced:
                        notes.append(f"{file}:{line}: {name} replaces the shipped one")
            base = [base[0][~base[0]["id"].isin(replaced)]]
    joined = pd.concat([*base, *own], ignore_index=True)
    order = sorted(range(len(joined)), key=joined["id"].tolist().__getitem__)
    return joined.iloc[order].reset_index(drop=True)
