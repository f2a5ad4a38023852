"""Witness *pixels*: what the numbers themselves tell, and no further."""

from __future__ import annotations

from primecoat.colour.ids import DATA
from primecoat.images.image_statistics import ImageStatistics
from primecoat.images.normal_map import judge_normal_map
from primecoat.inventory import ImageRecord, SceneUse
from primecoat.location import Location
from primecoat.reading.evidence import COLOUR, LINEAR, Evidence
from primecoat.reading.policy import Policy

_GREY = 1.5 / 255.0
"""Mean channel difference up to which a picture counts as grey: lossy files stay below."""

_SHADED = 0.5
"""Correlation from which channels move together, as light on a coloured thing moves them."""


def testify(record: ImageRecord, use: SceneUse | None, policy: Policy) -> tuple[Evidence, ...]:
    """Return what the pixel statistics say."""
    statistics, header = record.statistics, record.header
    if statistics is None or header is None:
        return ()
    where = Location(record.path, "pixels")
    evidence = []
    normal = judge_normal_map(statistics)
    if normal is not None and normal.is_normal:
        evidence.append(
            Evidence(
                witness="pixels",
                claim=DATA,
                strength=min(normal.strength, policy.weight("pixels", "normal_map")),
                words=f"The pixels look like {normal.words}.",
                location=where,
                content="normal",
            )
        )
    elif _is_grey(statistics):
        evidence.append(
            Evidence(
                witness="pixels",
                claim=DATA,
                strength=policy.weight("pixels", "grey"),
                words="The picture is grey throughout, as data maps often are.",
                location=where,
            )
        )
    elif _moves_together(statistics):
        evidence.append(
            Evidence(
                witness="pixels",
                claim=COLOUR,
                strength=policy.weight("pixels", "colourful"),
                words="Its channels differ but move together, as in pictures of coloured things.",
                location=where,
            )
        )
    brightest = max((statistics.channels[i].maximum for i in statistics.colour), default=0.0)
    if not header.integer and brightest > 1.0:
        evidence.append(
            Evidence(
                witness="pixels",
                claim=LINEAR,
                strength=policy.weight("pixels", "float_range"),
                words=f"It reaches {brightest:.4g}, above what a display shows: scene-linear.",
                location=where,
                among_colours=True,
            )
        )
    return tuple(evidence)


def _is_grey(statistics: ImageStatistics) -> bool:
    difference = statistics.channel_difference
    return len(statistics.colour) == 1 or (difference is not None and difference <= _GREY)


def _moves_together(statistics: ImageStatistics) -> bool:
    if len(statistics.colour) != 3:
        return False
    pairs = [
        statistics.correlation[one][other]
        for one in statistics.colour
        for other in statistics.colour
        if one < other and other < len(statistics.correlation)
    ]
    known = [pair for pair in pairs if pair is not None]
    return bool(known) and sum(known) / len(known) >= _SHADED
