"""Entries judged over several processes: none is lost where one of them dies, and none told twice.

File names and ranges are sent, never jobs. Each worker loads the rules once, and ends itself where
whoever started it is gone. What is done is handed on in the order of the entries.
"""

import multiprocessing
import os
import threading
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from itertools import islice

from .judging import Judge, broken_line
from .question import Question
from .sources import Entry

PIECE = 25
"""Entries that are sent at once."""
AHEAD = 3
"""Pieces that wait for each worker, so that none is idle and few are held."""
FEW = 40
"""Up to so many entries a second process costs more than it saves."""
DIED = "A worker died while it judged this file, and again when it judged it alone."
Piece = tuple[Entry, ...]

_judge: list[Judge] = []
"""The worker's own, made as it starts."""


def judged(
    entries: Iterable[Entry], question: Question, version: str, workers: int
) -> Iterator[str]:
    """Yield the line to be kept of each entry, in their order.

    Args:
        entries: What there is to be judged.
        question: What is asked.
        version: The version of the program.
        workers: How many processes judge; 1 for this one alone.
    """
    source = iter(entries)
    first = tuple(islice(source, FEW))
    if workers == 1 or len(first) < FEW:
        judge = Judge(question, version)
        for entry in (*first, *source):
            yield judge.line(entry)
        return
    yield from _Pool(question, version, workers).lines(_pieces(first, source))


def _pieces(first: Sequence[Entry], source: Iterator[Entry]) -> Iterator[Piece]:
    for at in range(0, len(first), PIECE):
        yield tuple(first[at : at + PIECE])
    while piece := tuple(islice(source, PIECE)):
        yield piece


class _Pool:
    """Workers that are replaced where one dies."""

    def __init__(self, question: Question, version: str, workers: int) -> None:
        self.question, self.version, self.workers = question, version, workers
        self.pool = self._new(workers)

    def _new(self, workers: int) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(
            workers,
            mp_context=multiprocessing.get_context("spawn"),
            initializer=_begin,
            initargs=(self.question, self.version, os.getpid()),
        )

    def lines(self, pieces: Iterator[Piece]) -> Iterator[str]:
        """Yield the lines of all pieces, in their order."""
        waiting: deque[tuple[Piece, Future[list[str]] | None]] = deque()
        try:
            while True:
                for piece in islice(pieces, self.workers * AHEAD - len(waiting)):
                    waiting.append((piece, self._sent(piece)))
                if not waiting:
                    return
                piece, future = waiting.popleft()
                try:
                    found = None if future is None else future.result()
                except BrokenProcessPool:
                    found = None
                if found is None:
                    found = self._alone(piece)
                    waiting = deque((one, self._again(one, was)) for one, was in waiting)
                yield from found
        finally:
            self.pool.shutdown(wait=False, cancel_futures=True)

    def _sent(self, piece: Piece) -> "Future[list[str]] | None":
        try:
            return self.pool.submit(_judged, piece)
        except BrokenProcessPool:
            return None

    def _again(self, piece: Piece, was: "Future[list[str]] | None") -> "Future[list[str]] | None":
        done = was is not None and was.done() and was.exception() is None
        return was if done else self._sent(piece)

    def _alone(self, piece: Piece) -> list[str]:
        """Judge the entries of a piece that a worker died on one by one, and begin anew."""
        self.pool.shutdown(wait=False, cancel_futures=True)
        found: list[str] = []
        pool = self._new(1)
        for entry in piece:
            try:
                found += pool.submit(_judged, (entry,)).result()
            except BrokenProcessPool:
                found.append(broken_line(entry, DIED))
                pool = self._new(1)
        pool.shutdown(wait=False)
        self.pool = self._new(self.workers)
        return found


def _begin(question: Question, version: str, parent: int) -> None:
    threading.Thread(target=_end_with, args=(parent,), daemon=True).start()
    _judge.append(Judge(question, version))


def _end_with(parent: int, ended: Callable[[int], object] = os._exit) -> None:
    while os.getppid() == parent:
        time.sleep(1)
    ended(1)


def _judged(piece: Piece) -> list[str]:
    return _judge[0].lines(piece)
