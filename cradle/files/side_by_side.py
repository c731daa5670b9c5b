"""Batches of tasks done in several processes at once, with the results that they have one after the other.

What a process does not bring to an end, because it could not be started, died
or met an error of ours, is done again by the one that asked: nothing fails that
would not have failed there too.
"""

from __future__ import annotations

import os
import signal
import sys
import warnings
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from typing import TYPE_CHECKING, Any, Final, TypeAlias, TypeVar, cast

from cradle.errors import CradleError, InputError, attempted
from cradle.files.limits import within_limits

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

T = TypeVar("T")
Batch: TypeAlias = Sequence[Callable[[], T]]
"""Tasks that one process does in their order: they may share what they find. It is pickled as a whole."""
Done: TypeAlias = "list[T | InputError]"
"""What a batch's tasks gave, each its result or the error that the user can correct."""

_MOST: Final = 4
"""More processes at once would take more memory than they save time."""


def one_by_one(batches: Sequence[Batch[T]]) -> list[Done[T]]:
    """The results of each batch, its tasks done here, in their order.

    Examples
    --------
    >>> def refused():
    ...     raise InputError("found nothing")
    >>> one_by_one([[lambda: 1, lambda: 2], [refused]])
    [[1, 2], [InputError('found nothing')]]
    """
    return [[attempted(task) for task in batch] for batch in batches]


def side_by_side(batches: Sequence[Batch[T]]) -> list[Done[T]]:
    """The results of each batch, as many of them done at once as there are cores.

    Parameters
    ----------
    batches : sequence of Batch
        Begun in this order; the longest ones first end soonest.

    Raises
    ------
    CradleError
        If a task meets one that is no `InputError`.
    """
    count = min(_cores(), len(batches), _MOST)
    if count < 2:
        return one_by_one(batches)
    with _processes(count) as lines:
        done = _exchanged(batches, lines)
    return [done[n] if n in done else one_by_one([batch])[0] for n, batch in enumerate(batches)]


def _cores() -> int:
    """How many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _exchanged(batches: Sequence[Batch[T]], lines: Sequence[Connection]) -> dict[int, Done[T]]:
    """The results by their batches' numbers; of those whose process ended there are none."""
    from multiprocessing.connection import wait

    done: dict[int, Done[T]] = {}
    waiting = deque(range(len(batches)))
    busy: dict[Any, int] = {}

    def give(line: Any) -> None:
        if waiting:
            with suppress(OSError):  # its process has ended
                line.send(batches[waiting[0]])
                busy[line] = waiting.popleft()

    for line in lines:
        give(line)
    while busy:
        for ready in wait(list(busy)):
            number = busy.pop(ready)
            with suppress(EOFError, OSError):  # its process has ended
                answer = cast(Any, ready).recv()
                if isinstance(answer, CradleError):
                    raise answer
                done[number] = answer
                give(ready)
    return done


@contextmanager
def _processes(count: int) -> Iterator[list[Connection]]:
    """A block with lines to so many processes, fewer where no more can be had; they end with it."""
    from multiprocessing import get_context

    context = get_context("spawn")  # a copy of this process would have its locks, but not its threads
    with ExitStack() as ends:
        lines: list[Any] = []
        for _ in range(count):
            ours, theirs = context.Pipe()
            process = context.Process(target=_work, args=(theirs,), daemon=True)
            try:
                with _uninterrupted():
                    process.start()
            except OSError:
                break
            finally:
                theirs.close()
            ends.callback(process.join)
            ends.callback(process.terminate)
            lines.append(ours)
        yield lines


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """A block in which Ctrl-C waits; it never reaches a process that is started in it, which is ended by the one that started it."""
    if sys.platform == "win32":
        yield
        return
    from multiprocessing.resource_tracker import ensure_running

    ensure_running()  # which lets signals through again when it starts
    earlier = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, earlier)


def _work(line: Connection) -> None:
    """Do batches from a line until it is closed; the body of a process."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if not sys.warnoptions:
        warnings.simplefilter("ignore")
    with suppress(EOFError, OSError):  # nobody is there any more
        while True:
            batch = line.recv()
            answer: Done[Any] | CradleError
            try:
                with within_limits():
                    (answer,) = one_by_one([batch])
            except CradleError as error:
                answer = error
            except Exception:  # noqa: BLE001 - a fault of ours: it is met again, and told, where the task came from
                return
            line.send(answer)
