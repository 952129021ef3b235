"""A progress bar on standard error, only where a person looks and only past one second."""

from __future__ import annotations

import time
from collections.abc import Callable
from types import TracebackType
from typing import IO, TYPE_CHECKING

if TYPE_CHECKING:
    from rich.progress import Progress as Bar
    from rich.progress import TaskID

PATIENCE_S = 1.0


class Progress:
    """A callback ``(stage, share done)`` that shows a bar; use it as a context manager."""

    def __init__(self, stream: IO[str], clock: Callable[[], float] = time.monotonic) -> None:
        self._stream = stream
        self._clock = clock
        self._start = clock()
        self._bar: Bar | None = None
        self._task: TaskID | None = None

    def __enter__(self) -> Progress:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._bar is not None:
            self._bar.stop()

    def __call__(self, stage: str, done: float) -> None:
        """Show ``stage`` at ``done`` [0..1]; nothing within the first second or off a terminal."""
        if self._bar is None:
            if not self._stream.isatty() or self._clock() - self._start < PATIENCE_S:
                return
            self._open()
        if self._bar is not None and self._task is not None:
            self._bar.update(self._task, description=stage, completed=min(max(done, 0.0), 1.0))

    def _open(self) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, TextColumn
        from rich.progress import Progress as Bar

        console = Console(file=self._stream, markup=False)
        self._bar = Bar(TextColumn("{task.description}"), BarColumn(), console=console, transient=True)
        self._task = self._bar.add_task("", total=1.0)
        self._bar.start()
