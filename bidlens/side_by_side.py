"""Work on separate columns side by side: numpy and Arrow let go of Python's lock while they work on a long one."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

_T = TypeVar("_T")
_WORTH_IT_FROM_ROWS = 100_000
_MOST_AT_ONCE = 4  # each holds some columns' worth of memory while it works


def side_by_side(rows: int, tasks: Mapping[str, Callable[[], _T]]) -> dict[str, _T]:
    """What each of the tasks, on columns of so many rows, returns, by its name.

    The tasks must not depend on each other. Raises what the first of them in order raises, as one after the other
    would.
    """
    if rows < _WORTH_IT_FROM_ROWS:
        return {name: task() for name, task in tasks.items()}
    with ThreadPoolExecutor(min(_MOST_AT_ONCE, os.cpu_count() or 1), thread_name_prefix="columns") as pool:
        begun = {name: pool.submit(task) for name, task in tasks.items()}
        return {name: task.result() for name, task in begun.items()}
