"""Witness *declaration*: the colour space that a scene declares for an image."""

from __future__ import annotations

from primecoat.inventory import ImageRecord, SceneUse
from primecoat.reading.evidence import Evidence
from primecoat.reading.policy import Policy


def testify(record: ImageRecord, use: SceneUse | None, policy: Policy) -> tuple[Evidence, ...]:
    """Return what the scene declares; a name that nobody knows claims nothing."""
    if use is None or not use.use.declared:
        return ()
    reading = use.use.declared_reading
    if reading is None:
        return ()
    return (
        Evidence(
            witness="declaration",
            claim=reading,
            strength=policy.weight("declaration", "inherited" if use.use.inherited else "written"),
            words=f"The scene declares {use.use.declared} for {record.path}"
            + (f" ({use.use.declared_how})." if use.use.declared_how else "."),
            location=use.use.declared_at or use.use.location,
        ),
    )
