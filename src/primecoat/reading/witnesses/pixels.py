"""Witness *pixels*: what the numbers themselves tell, and no further."""

from __future__ import annotations

from primecoat.colour.ids import DATA
from primecoat.images.normal_map import judge_normal_map
from primecoat.inventory import ImageRecord, SceneUse
from primecoat.location import Location
from primecoat.reading.evidence import COLOUR, LINEAR, Evidence
from primecoat.reading.pixel_facts import LAYOUTS
from primecoat.reading.pixel_model import PixelJudgement, judge_pixels
from primecoat.reading.policy import Policy

_WORTH_TELLING = 0.1


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
    else:
        judged = judge_pixels(header, statistics)
        if judged is not None:
            evidence += _of_model(judged, where)
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


def _of_model(judged: PixelJudgement, where: Location) -> list[Evidence]:
    """Return what the pixels say, and as a prior how often such pictures are colour."""
    evidence = []
    if abs(judged.strength) >= _WORTH_TELLING:
        evidence.append(
            Evidence(
                witness="pixels",
                claim=COLOUR if judged.strength > 0 else DATA,
                strength=abs(judged.strength),
                words=f"By its pixels, {judged.words}.",
                location=where,
            )
        )
    if abs(judged.frequency) >= _WORTH_TELLING:
        often = "colour" if judged.frequency > 0 else "data"
        evidence.append(
            Evidence(
                witness="pixels",
                claim=COLOUR if judged.frequency > 0 else DATA,
                strength=abs(judged.frequency),
                words=f"Of labelled pictures with {LAYOUTS[judged.layout]}, more are {often}.",
                location=where,
                prior=True,
            )
        )
    return evidence
