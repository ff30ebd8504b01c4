"""Shards of a sweep run by an executor; imported when one is used, and not before."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from concurrent.futures import Executor

    from ._fedfrom import SweepResult, SweepShard


def results(executor: Executor, shards: Sequence[SweepShard], progress: Callable[[float], object] | None) -> list[SweepResult]:
    """What the shards found, in their order; of those not done when `progress` says False, nothing.

    What a shard raises, or an interrupt here, ends it all; what has not begun then never does.
    """
    from concurrent.futures import FIRST_COMPLETED, wait

    futures = [executor.submit(shard) for shard in shards]
    waiting = set(futures)
    try:
        while waiting:
            done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
            for future in done:
                future.result()
            if progress is not None and progress(1 - len(waiting) / len(futures)) is False:
                break
    finally:
        for future in waiting:
            future.cancel()
    return [future.result() for future in futures if future not in waiting]
