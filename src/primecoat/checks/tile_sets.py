"""PC109: a tile or frame that differs from its set in depth, channels or colour statement."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.images.header import ImageHeader
from primecoat.reading.readings import Readings


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every odd member of a set; the majority is taken as the rule."""
    for image in readings.images:
        members = [
            (file.name, _kind(measure.header))
            for file, measure in image.record.members
            if measure.header is not None
        ]
        kinds = Counter(kind for _, kind in members)
        if len(kinds) < 2:
            continue
        usual = kinds.most_common(1)[0][0]
        odd = [(name, kind) for name, kind in members if kind != usual]
        yield finding(
            "tiles_disagree",
            image.record.path,
            f"{', '.join(f'{name} ({kind})' for name, kind in odd[:5])} "
            f"{'differs' if len(odd) == 1 else 'differ'} from the set ({usual}).",
            "Export the odd members again like the others.",
        )


def _kind(header: ImageHeader) -> str:
    said = next((s.reading or s.kind for s in header.statements), "no statement")
    return f"{header.pixel_type}, {len(header.channels)} channels, {said}"
