"""How long a reader may take; in a module of its own, since ``run`` must import no reader."""

SLOW_SECONDS = 2.0
"""Of CPU time."""
