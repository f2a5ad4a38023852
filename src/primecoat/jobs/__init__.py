"""Run many independent jobs: here, in worker processes, or on a cluster; a share of them or all."""

from primecoat.jobs.cluster import LOCAL, ClusterEngine
from primecoat.jobs.engine import Engine, WorkerDiedError
from primecoat.jobs.local import LocalEngine, cores
from primecoat.jobs.shard import WHOLE, Shard

__all__ = [
    "LOCAL",
    "WHOLE",
    "ClusterEngine",
    "Engine",
    "LocalEngine",
    "Shard",
    "WorkerDiedError",
    "cores",
]
