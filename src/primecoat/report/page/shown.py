"""What the page shows: a survey with everything in the order and with the numbers of the page."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from primecoat.checks.survey import Survey
from primecoat.findings import Finding
from primecoat.plan.build import is_superseded
from primecoat.plan.explicit import left_to_guess, value_left_to_guess
from primecoat.plan.plan import Held
from primecoat.reading.asked import Again
from primecoat.reading.colours import ColourReading
from primecoat.reading.judgement import FIRM, ImageReading
from primecoat.report.page.markup import Markup, tag
from primecoat.report.page.words import SEVERITIES


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A survey, prepared for the page.

    Parameters
    ----------
    images
        Those that want a person's eye first, then by path.
    superseded
        Files that earlier runs replaced by others, relative to the root; they do not count.
    kept
        The images among them.
    values
        Colours and lights that count.
    findings
        Those that count, worst first.
    left
        What is left to a guess.
    anchors
        Image path to the number of its entry.
    """

    survey: Survey
    superseded: frozenset[str]
    images: tuple[ImageReading, ...]
    kept: tuple[ImageReading, ...]
    values: tuple[ColourReading, ...]
    findings: tuple[Finding, ...]
    left: tuple[Held, ...]
    anchors: dict[str, int]

    @property
    def explicit(self) -> int:
        """Number of images and values that are explicit."""
        return len(self.images) + len(self.values) - len(self.left)

    @property
    def errors(self) -> int:
        """Number of findings that are errors."""
        return sum(finding.severity == "error" for finding in self.findings)

    @property
    def ready(self) -> bool:
        """Whether nothing is left to a guess and no finding is an error."""
        return not self.left and not self.errors

    def link(self, path: str) -> Markup:
        """Return a path, leading to the image's entry if it has one."""
        number = self.anchors.get(path)
        if number is None:
            return tag("span", path, class_="path")
        return tag("a", path, href=f"#picture-{number}", class_="path")


def shown(survey: Survey, superseded: frozenset[str]) -> Shown:
    """Prepare a survey for the page.

    Parameters
    ----------
    superseded
        Files that earlier runs replaced by others, relative to the root.
    """
    readings = survey.readings
    root = readings.inventory.roots[0]
    kept = tuple(i for i in readings.images if is_superseded(i.record, root, superseded))
    old = {image.record.path for image in kept}
    images = sorted(
        (image for image in readings.images if image.record.path not in old),
        key=lambda image: (image.standing in FIRM, image.standing == "likely", image.record.path),
    )
    values = tuple(
        v for v in (*readings.colours, *readings.lights) if v.scene.name not in superseded
    )
    again = Again(target=Path(readings.inventory.target.name))
    left = [left_to_guess(image, again) for image in images]
    left += [value_left_to_guess(value, again) for value in values]
    findings = (f for f in survey.findings if f.where not in superseded | old)
    return Shown(
        survey=survey,
        superseded=superseded,
        images=tuple(images),
        kept=kept,
        values=values,
        findings=tuple(sorted(findings, key=lambda f: SEVERITIES.index(f.severity))),
        left=tuple(held for held in left if held is not None),
        anchors={image.record.path: at for at, image in enumerate(images, start=1)},
    )
