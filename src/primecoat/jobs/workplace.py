"""Where jobs run, as a person asks for it; by default on all cores where that pays."""

from __future__ import annotations

import os
from dataclasses import dataclass

from primecoat.errors import UseError
from primecoat.jobs.apart import APART
from primecoat.jobs.cluster import ClusterEngine
from primecoat.jobs.engine import Engine
from primecoat.jobs.local import LocalEngine, cores

POOL_FROM_BYTES = 48_000_000
"""Below this much to read, starting worker processes costs more than it saves."""


@dataclass(frozen=True, slots=True)
class Workplace:
    """Where jobs run.

    Parameters
    ----------
    workers
        Number of processes on this machine; None for all cores where that pays.
    cluster
        Address of a Dask scheduler, or ``local``; None for no cluster.

    Raises
    ------
    UseError
        If both are given, or there are no workers.

    Examples
    --------
    >>> Workplace(workers=3).engine(0)
    LocalEngine(workers=3, apart=False)
    >>> Workplace().engine(1000)
    LocalEngine(workers=1, apart=False)
    """

    workers: int | None = None
    cluster: str | None = None

    def __post_init__(self) -> None:
        if self.workers is not None and self.workers < 1:
            raise UseError(f"{self.workers} workers do nothing.", "Give --workers 1 or more.")
        if self.workers is not None and self.cluster is not None:
            raise UseError(
                "Jobs run either in workers here or on a cluster.",
                "Give --workers or --cluster, not both.",
            )

    def engine(self, total_bytes: int) -> Engine:
        """Return what runs jobs that read so many bytes in all."""
        if self.cluster is not None:
            return ClusterEngine(self.cluster)
        apart = os.environ.get(APART, "") not in ("", "0")
        if self.workers is not None:
            return LocalEngine(self.workers, apart=apart)
        return LocalEngine(cores() if total_bytes >= POOL_FROM_BYTES else 1, apart=apart)

    def threads(self, engine: Engine, jobs: int) -> int:
        """Return how many threads each of some jobs may use, so that all use each core once.

        Examples
        --------
        >>> place = Workplace(workers=2)
        >>> place.threads(place.engine(0), 1) == cores()
        True
        """
        if not isinstance(engine, LocalEngine):
            return 1
        return max(1, cores() // max(1, min(engine.workers, jobs)))


USUAL_PLACE = Workplace()
"""All cores of this machine where that pays."""
