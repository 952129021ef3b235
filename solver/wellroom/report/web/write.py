"""A file written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from wellroom.errors import Fault, RequestError

_INPUTS = (".toml", ".csv")
"""Endings of what is read: never written over."""


def write_text(text: str, path: Path, place: str) -> None:
    """Write a text to a file, as ``write_bytes`` does."""
    write_bytes(text.encode("utf-8"), path, place)


def write_bytes(data: bytes, path: Path, place: str) -> None:
    """Write to a file by way of a temporary file beside it, which then takes its name.

    ``place`` names the option in the fault. Raises RequestError where it can't be written; a file that was
    there
    before then stays as it was.
    """
    must_take(path, place)
    temporary: str | None = None
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(temporary, 0o666 & ~_umask())
        os.replace(temporary, path)
        temporary = None
    except OSError as error:
        found = error.strerror or "it can't be written"
        raise RequestError([Fault(str(path), 0, place, found, "a place to write to")]) from error
    finally:
        if temporary is not None:
            with contextlib.suppress(OSError):
                os.unlink(temporary)


def must_take(path: Path, place: str) -> None:
    """Raise RequestError where a file can't be written to, as far as can be said before there is any."""
    if path.is_dir():
        raise RequestError([Fault(str(path), 0, place, "a folder", "a file to write to")])
    if (path.exists() and not path.is_file()) or path.suffix.lower() in _INPUTS:
        raise RequestError(
            [Fault(str(path), 0, place, "a place for other things", "a file such as page.html")]
        )
    if not path.parent.is_dir():
        raise RequestError([Fault(str(path), 0, place, "no such folder", "a place to write to")])


def must_hold(folder: Path, place: str) -> None:
    """Raise RequestError where a folder, made if it is not there, can't hold files."""
    there = next((part for part in (folder, *folder.parents) if part.exists()), None)
    if there is not None and not there.is_dir():
        raise RequestError([Fault(str(folder), 0, place, f"a file, {there.name}", "a folder to write to")])


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
