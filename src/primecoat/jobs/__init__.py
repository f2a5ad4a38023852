"""Run many independent jobs: here, in worker processes, or on a cluster; a share of them or all."""

from typing import TYPE_CHECKING

from primecoat.on_demand import load_on_demand

if TYPE_CHECKING:
    from primecoat.jobs.apart import APART, pictures_apart
    from primecoat.jobs.cluster import LOCAL, ClusterEngine
    from primecoat.jobs.engine import Engine, WorkerDiedError
    from primecoat.jobs.local import LocalEngine, cores
    from primecoat.jobs.progress import Progress, silent
    from primecoat.jobs.shard import WHOLE, Shard
    from primecoat.jobs.warm import WarmWorkers
    from primecoat.jobs.workplace import POOL_FROM_BYTES, USUAL_PLACE, Workplace

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

_MODULES = {
    "apart": ("APART", "pictures_apart"),
    "cluster": ("LOCAL", "ClusterEngine"),
    "engine": ("Engine", "WorkerDiedError"),
    "local": ("LocalEngine", "cores"),
    "progress": ("Progress", "silent"),
    "shard": ("WHOLE", "Shard"),
    "warm": ("WarmWorkers",),
    "workplace": ("POOL_FROM_BYTES", "USUAL_PLACE", "Workplace"),
}
"""The modules, and the names that each holds."""

load_on_demand(
    __name__,
    {name: f"{__name__}.{module}" for module, names in _MODULES.items() for name in names},
)
