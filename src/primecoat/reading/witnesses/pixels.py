"""Witness *pixels*: what the numbers themselves tell, and no further."""

from __future__ import annotations

from primecoat.colour.ids import DATA
from primecoat.images.image_statistics import ImageStatistics
from primecoat.images.normal_map import judge_normal_map
from primecoat.images.two_channel_map import judge_two_channels
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
    normal, planar = judge_normal_map(statistics), judge_two_channels(statistics)
    if normal is not None and normal.is_normal and not (planar and _z_is_missing(statistics)):
        most = policy.weight("pixels", "normal_map")
        evidence.append(_of_normals(normal.strength, most, normal.words, where))
    elif planar is not None and planar.is_normal:
        most = policy.weight("pixels", "two_channel_normal_map")
        evidence.append(_of_normals(planar.strength, most, planar.words, where))
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


def _z_is_missing(statistics: ImageStatistics) -> bool:
    """Whether no vector points out of the surface: blue holds nothing, or no z."""
    fit = statistics.normals.fit("stored") if statistics.normals else None
    return fit is not None and fit.forward < 0.5


def _of_normals(strength: float, most: float, words: str, where: Location) -> Evidence:
    return Evidence(
        witness="pixels",
        claim=DATA,
        strength=min(strength, most),
        words=f"The pixels look like {words}.",
        location=where,
        content="normal",
    )


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
