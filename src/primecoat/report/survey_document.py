"""The survey as a JSON document, ``primecoat.survey/1``."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import asdict

from primecoat.checks.survey import Survey
from primecoat.documents import Document
from primecoat.findings import Finding
from primecoat.location import printable
from primecoat.reading.colours import ColourReading
from primecoat.reading.judgement import ImageReading, Judgement, PartReading, UseReading
from primecoat.reading.policy import policy
from primecoat.reading.products import ColourProduct
from primecoat.reading.turning import turning_points
from primecoat.report.versions import versions

KIND = "primecoat.survey/1"


def survey_document(survey: Survey) -> Document:
    """Return a survey as a document."""
    readings = survey.readings
    by_place: dict[str, list[str]] = defaultdict(list)
    for finding in survey.findings:
        by_place[finding.where].append(finding.code)
    return {
        "document": KIND,
        **versions(),
        "target": readings.inventory.target.as_posix(),
        "root": readings.inventory.roots[0].as_posix(),
        "from": readings.from_space,
        "to": readings.to_space,
        "config": readings.config,
        "house": readings.house.as_document(),
        "images": [_image(image, by_place[image.record.path]) for image in readings.images],
        "colours": [_colour(colour) for colour in readings.colours],
        "lights": [_colour(light) | {"kelvin": light.value.kelvin} for light in readings.lights],
        "products": [product_document(product) for product in readings.products],
        "findings": [finding.as_document() for finding in survey.findings],
    }


def why_document(image: ImageReading, findings: tuple[Finding, ...]) -> Document:
    """Return one image's story as a document, ``primecoat.why/1``."""
    own = [f for f in findings if f.where == image.record.path]
    return {
        "document": "primecoat.why/1",
        **versions(),
        "image": _image(image, [f.code for f in own]),
        "would_change": list(turning_points(image, policy())),
        "findings": [f.as_document() for f in own],
    }


def _image(image: ImageReading, codes: list[str]) -> Document:
    record, judgement = image.record, image.judgement
    header = record.header
    return {
        "path": printable(record.path),
        "uses": [_use(use) for use in image.uses],
        **_outcome(judgement),
        "content": image.content,
        "evidence": [item.as_document() for item in image.evidence],
        "parts": [_part(part) for part in image.parts],
        "findings": list(dict.fromkeys(codes)),
        "files": [f.name for f in record.files] if len(record.files) != 1 else [],
        "header": None
        if header is None
        else {
            "format": header.format,
            "width": header.width,
            "height": header.height,
            "channels": list(header.channels),
            "pixel_type": header.pixel_type,
            "alpha": header.alpha,
            "storage": list(header.storage),
            "parts": header.parts,
            "levels": header.levels,
            "texture": header.texture
            and {key: printable(text) for key, text in asdict(header.texture).items()},
            "statements": [
                {"kind": s.kind, "reading": s.reading, "firm": s.firm, "words": printable(s.words)}
                for s in header.statements
            ],
        },
    }


def _outcome(judgement: Judgement) -> Document:
    return {
        "reading": judgement.reading,
        "standing": judgement.standing,
        "confidence": round(judgement.confidence, 4),
        "is_colour": None if judgement.colour is None else round(judgement.colour, 4),
        "candidates": [
            {"reading": c.reading, "confidence": round(c.confidence, 4)}
            for c in judgement.candidates
        ],
    }


def _part(part: PartReading) -> Document:
    layer = part.layer
    return {
        "name": printable(part.name),
        "index": part.index,
        **({"layer": printable(layer.name)} if layer.name else {}),
        **({"view": printable(layer.view)} if layer.view else {}),
        "channels": [printable(name) for name in layer.channels],
        "pixel_types": list(layer.pixel_types),
        "main": part.is_main,
        **_outcome(part.judgement),
        "evidence": [item.as_document() for item in part.evidence],
    }


def product_document(product: ColourProduct) -> Document:
    """Return work on colours that cannot be kept exact, as it stands in documents."""
    residual = product.residual
    return {
        "scene": printable(product.scene.name),
        "owner": printable(product.owner),
        "slot": product.slot,
        "image": printable(product.image),
        "operation": product.operation,
        "why": product.why,
        "factor": list(product.factor) if product.factor else None,
        "location": printable(str(product.location)),
        "residual": None
        if residual is None
        else {
            "median": round(residual.median, 6),
            "p95": round(residual.p95, 6),
            "max": round(residual.maximum, 6),
            "over": product.over,
        },
        "unknown": product.unknown,
    }


def _use(use: UseReading) -> Document:
    written = use.scene_use.use
    return {
        "scene": printable(use.scene_use.scene.name),
        "owner": printable(written.owner),
        "slot": written.slot,
        "channels": written.channels,
        "location": printable(str(written.location)),
        "reading": use.judgement.reading,
        "standing": use.judgement.standing,
        "reads_as": {"today": use.today, "why": printable(use.today_why)},
    }


def _colour(colour: ColourReading) -> Document:
    value = colour.value
    many = value.maximum is not None
    numbers = (
        {"count": value.count, "min": list(value.value), "max": list(value.maximum or ())}
        if many
        else {"value": list(value.value)}
    )
    return {
        "scene": printable(colour.scene.name),
        "location": printable(str(value.location)),
        "owner": printable(value.owner),
        "slot": value.slot,
        **numbers,
        "reading": colour.reading,
        "why": printable(colour.why),
        "working": list(colour.working) if colour.working else None,
        **({"working_max": list(colour.working_maximum)} if colour.working_maximum else {}),
    }
