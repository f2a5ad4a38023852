"""What every engine does: run independent jobs somewhere and give their results as they come."""

from __future__ import annotations

from collections.abc import Callable, Generator, Sequence
from typing import Protocol, TypeVar

Item = TypeVar("Item")
Result = TypeVar("Result")


class WorkerDiedError(Exception):
    """The process that ran a job ended without a result."""


class Engine(Protocol):
    """Runs independent jobs; which one runs them changes no result.

    A job is a module-level function and one argument, both of which can be sent to another
    process. It returns its failures rather than raise them: what it raises stops all others.
    """

    def run(
        self, function: Callable[[Item], Result], items: Sequence[Item]
    ) -> Generator[tuple[int, Result | WorkerDiedError]]:
        """Yield the index and the result of every job, in the order in which they end.

        Jobs that have not started are dropped when the caller stops asking.
        """
        ...
