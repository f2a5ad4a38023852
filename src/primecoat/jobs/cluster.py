"""Jobs on a Dask cluster: a scheduler that is there already, or one started on this machine.

Dask distributed is an optional part (``pip install '.[farm]'``), loaded when it is asked
for. Workers must see the same files under the same paths and run the same Primecoat and
libraries; if they do not, nothing is started.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Generator, Iterator, Sequence
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from typing import TYPE_CHECKING

from primecoat.errors import UseError, how_to_install
from primecoat.jobs.engine import Item, Result, WorkerDiedError
from primecoat.jobs.local import cores

if TYPE_CHECKING:
    from distributed import Client

LOCAL = "local"
"""Address that starts a cluster on this machine for the run, one worker a core."""

_MUST_AGREE = ("primecoat", "OpenImageIO", "opencolorio", "numpy")
_SECONDS_TO_ANSWER = 20


@dataclass(frozen=True, slots=True)
class ClusterEngine:
    """Runs jobs on a Dask cluster.

    Parameters
    ----------
    address
        Of a scheduler, such as ``tcp://kiln:8786``; or ``local``.
    """

    address: str

    def run(
        self, function: Callable[[Item], Result], items: Sequence[Item]
    ) -> Generator[tuple[int, Result | WorkerDiedError]]:
        """Yield the index and the result of every job; see :class:`primecoat.jobs.Engine`.

        A job whose worker goes away runs again on another; one that by itself takes down every
        worker it is given to is reported.

        Raises
        ------
        UseError
            If Dask is not installed, no scheduler answers, it has no workers, or a worker has
            other versions.
        """
        if not items:
            return
        with _connected(self.address) as client:
            _refuse_other_versions(client, self.address)
            suspects = []
            for index, result in _shared_out(client, function, items, range(len(items))):
                if isinstance(result, WorkerDiedError):
                    suspects.append(index)
                else:
                    yield index, result
            # a worker holds several jobs, so one that is at fault brings others to be suspected
            for suspect in suspects:
                yield from _shared_out(client, function, items, [suspect])


def _shared_out(
    client: Client,
    function: Callable[[Item], Result],
    items: Sequence[Item],
    indices: Sequence[int],
) -> Iterator[tuple[int, Result | WorkerDiedError]]:
    from distributed import as_completed
    from distributed.scheduler import KilledWorker

    futures = client.map(function, [items[index] for index in indices], pure=False)
    index_of = {future.key: index for future, index in zip(futures, indices, strict=True)}
    try:
        for future in as_completed(futures, loop=client.loop):
            error = future.exception()
            if isinstance(error, KilledWorker):
                words = "every worker that took this job ended without a result"
                yield index_of[future.key], WorkerDiedError(words)
            elif error is not None:
                raise error
            else:
                yield index_of[future.key], future.result()
    finally:
        client.cancel(futures)


@contextlib.contextmanager
def _connected(address: str) -> Iterator[Client]:
    try:
        from distributed import Client, LocalCluster
    except ImportError as error:
        raise UseError(
            "A cluster needs Dask distributed, which is not installed.",
            how_to_install("farm"),
        ) from error
    with contextlib.ExitStack() as stack:
        place = address
        if address == LOCAL:
            cluster = LocalCluster(
                n_workers=cores(),
                threads_per_worker=1,
                host="127.0.0.1",
                processes=True,
                dashboard_address="127.0.0.1:0",
                protocol="tcp",
            )
            place = stack.enter_context(cluster).scheduler_address
        try:
            client = Client(place, timeout=_SECONDS_TO_ANSWER, set_as_default=False)
        except (OSError, ValueError, TimeoutError) as error:
            raise UseError(
                f"No Dask scheduler answers at {address}: {error}.",
                "Start one, or give its address, such as tcp://kiln:8786, or 'local'.",
            ) from error
        yield stack.enter_context(client)


def _refuse_other_versions(client: Client, address: str) -> None:
    """Refuse workers whose results could differ from ours."""
    try:
        client.wait_for_workers(1, timeout=_SECONDS_TO_ANSWER)
    except TimeoutError as error:
        raise UseError(
            f"The cluster at {address} has no workers.", "Start workers there."
        ) from error
    ours = _versions()
    found = client.run(_versions)
    for worker, theirs in found.items():
        if theirs != ours:
            words = ", ".join(
                f"{name} {theirs[name] or 'missing'} (here {ours[name]})"
                for name in ours
                if theirs[name] != ours[name]
            )
            raise UseError(
                f"The worker {worker} has other versions: {words}.",
                "Install the same versions there; results must not depend on who made them.",
            )


def _versions() -> dict[str, str]:
    """Return the versions of what makes results."""
    found = {}
    for name in _MUST_AGREE:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = ""
    return found
