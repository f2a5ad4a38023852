"""Run many independent jobs: here, in worker processes, or on a cluster; a share of them or all."""

from primecoat.jobs.cluster import LOCAL, ClusterEngine
from primecoat.jobs.engine import Engine, WorkerDiedError
from primecoat.jobs.local import LocalEngine, cores
from primecoat.jobs.progress import Progress, silent
from primecoat.jobs.shard import WHOLE, Shard
from primecoat.jobs.warm import WarmWorkers
from primecoat.jobs.workplace import APART, POOL_FROM_BYTES, USUAL_PLACE, Workplace, pictures_apart

__all__ = [
    "APART",
    "LOCAL",
    "POOL_FROM_BYTES",
    "USUAL_PLACE",
    "WHOLE",
    "ClusterEngine",
    "Engine",
    "LocalEngine",
    "Progress",
    "Shard",
    "WarmWorkers",
    "WorkerDiedError",
    "Workplace",
    "cores",
    "pictures_apart",
    "silent",
]
