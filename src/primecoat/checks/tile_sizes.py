"""PC308: tiles of one set in different sizes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.reading.readings import Readings


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a note for sets whose members differ in size; the majority is taken as the rule."""
    for image in readings.images:
        sizes = [
            (file.name, f"{measure.header.width} x {measure.header.height}")
            for file, measure in image.record.members
            if measure.header is not None
        ]
        kinds = Counter(size for _, size in sizes)
        if len(kinds) < 2:
            continue
        usual = kinds.most_common(1)[0][0]
        odd = [f"{name} ({size})" for name, size in sizes if size != usual]
        more = f" and {len(odd) - 5} more" if len(odd) > 5 else ""
        yield finding(
            "tiles_differ_in_size",
            image.record.path,
            f"{', '.join(odd[:5])}{more} {'is' if len(odd) == 1 else 'are'} not as large as the "
            f"rest of the set ({usual}).",
            "Leave it if the tiles were meant to differ in detail; else export the odd ones again.",
        )
