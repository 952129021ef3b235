"""Other processes that sweep ahead while this one works on what is swept; what they give is the same.

They are plain interpreters that read things and motions and write samples, nothing of the caller's program
runs in them. Where none can be started, or one ends early, whoever asks sweeps for itself.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Hashable, Mapping

from wellroom.geometry.envelope import Cells, sweep
from wellroom.geometry.items import Item
from wellroom.geometry.motion import Motion

Task = tuple[Item, Motion]
MOST = 3
_CODE = "from wellroom.search.ahead import serve; serve()"


def helpers() -> int:
    """Return how many other processes there is room for, 0 with one core or no interpreter."""
    return min(MOST, (os.cpu_count() or 1) - 1) if sys.executable else 0


def serve() -> None:
    """Read tasks from standard input and write the samples of each, in order, to standard output."""
    for item, motion in pickle.load(sys.stdin.buffer):
        pickle.dump(sweep((item,), motion), sys.stdout.buffer)
        sys.stdout.buffer.flush()


class Ahead:
    """One process with its tasks by key, swept in their order."""

    def __init__(self, tasks: Mapping[Hashable, Task]) -> None:
        self.keys = tuple(tasks)
        self._tasks = list(tasks.values())
        self._left = dict.fromkeys(tasks)
        self._found: dict[Hashable, Cells] = {}
        self._news = threading.Condition()
        self._process = _started()
        if self._process is None:
            self._left = {}
        else:
            threading.Thread(target=self._exchange, args=(self._process,), daemon=True).start()

    def _exchange(self, process: subprocess.Popen[bytes]) -> None:
        """Hand over the tasks and take in what comes back, until all is there or the process ends."""
        assert process.stdin is not None
        assert process.stdout is not None
        try:
            with process.stdin as given:
                pickle.dump(self._tasks, given)
            for key in self.keys:
                cells = pickle.load(process.stdout)
                with self._news:
                    self._found[key] = cells
                    del self._left[key]
                    self._news.notify_all()
        except (EOFError, OSError, ValueError, pickle.UnpicklingError):
            pass
        with self._news:
            self._left = {}
            self._news.notify_all()
        process.stdout.close()

    def take(self, key: Hashable) -> Cells | None:
        """Return the samples of a task once they are there; None where they will never be."""
        with self._news:
            while key in self._left:
                self._news.wait()
            return self._found.pop(key, None)

    def stop(self) -> None:
        """End the process, whatever it is at."""
        if self._process is not None:
            self._process.kill()
            self._process.wait()


def _started() -> subprocess.Popen[bytes] | None:
    """Return a process that waits for tasks, None where none can be started."""
    paths = os.pathsep.join(path for path in sys.path if path)
    try:
        return subprocess.Popen(
            [sys.executable, "-c", _CODE],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=os.environ | {"PYTHONPATH": paths},
        )
    except (OSError, ValueError):
        return None
