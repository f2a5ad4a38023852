"""What a config reads a scene's files as, as the JSON document ``primecoat.config_read/1``."""

from __future__ import annotations

from collections import Counter

from primecoat.config.agreement import VERDICTS
from primecoat.config.config_rows import ConfigReading, ConfigRow, PathReading
from primecoat.config.misread_data import DataCost
from primecoat.config.misreading import ColourCost
from primecoat.documents import Document
from primecoat.location import printable
from primecoat.report.versions import versions


def config_read_document(reading: ConfigReading) -> Document:
    """Return what a config makes of a scene as ``primecoat.config_read/1``."""
    window = reading.window
    counts = Counter(row.verdict for row in reading.rows)
    return {
        "document": "primecoat.config_read/1",
        **versions(),
        "config": reading.config,
        "ready": reading.ready,
        "seen": window
        and {"linear": window.linear, "display": window.display, "view": window.view},
        "counts": {verdict: counts[verdict] for verdict in VERDICTS},
        "files": [_row(row) for row in reading.rows],
        "silent": [{"image": printable(image), "why": why} for image, why in reading.silent],
    }


def _row(row: ConfigRow) -> Document:
    return {
        "file": printable(row.file),
        "image": printable(row.image),
        "reading": row.wanted,
        "standing": row.standing,
        "wanted": [{"reading": want.reading, "who": printable(want.who)} for want in row.wants],
        "conflicts": row.conflict,
        "verdict": row.verdict,
        "kind": row.kind or None,
        **_path(row.by_path),
        "elsewise": [_path(path) for path in row.elsewise],
        "cost": _cost(row.cost),
        "words": [printable(words) for words in row.words],
    }


def _path(path: PathReading) -> Document:
    reading, identity = path.reading, path.identity
    return {
        "path": printable(reading.path),
        "reads_as": {
            "space": reading.space,
            "local_name": identity.local_name,
            "reading": path.reads_as,
            "interop_id": identity.interop_id,
            "by": identity.by,
            "contradicts": identity.contradicts,
            "verdict": path.verdict,
        },
        "rule": {
            "index": reading.rule,
            "name": reading.rule_name,
            "pattern": reading.pattern,
            "only_default": reading.only_default,
            "word": printable(reading.word),
            "in_folder": reading.in_folder,
            "why": printable(reading.why),
        },
    }


def _cost(cost: ColourCost | DataCost | None) -> Document | None:
    if cost is None:
        return None
    if isinstance(cost, DataCost):
        return {
            "nothing_changes": cost.nothing_changes,
            "linear": cost.linear,
            "code_128": cost.code_128,
            "most_off": cost.most_off,
            "flat_turned": cost.flat_turned,
            "most_turned": cost.most_turned,
            "sampled": cost.sampled,
        }
    return {
        "nothing_changes": cost.nothing_changes,
        "mid_grey": {"right": list(cost.right), "read": list(cost.read)},
        "stops": cost.stops,
        "ciede2000": None if cost.mean is None else {"mean": cost.mean, "p95": cost.p95},
        "sampled": cost.sampled,
    }
