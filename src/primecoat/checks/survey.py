"""A survey: a scene, read, with the findings on it."""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.findings import Finding
from primecoat.reading.readings import Readings


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """What is known about a target: readings, and findings on them."""

    readings: Readings
    findings: tuple[Finding, ...]

    @property
    def ready(self) -> bool:
        """Whether no finding is an error."""
        return all(finding.severity != "error" for finding in self.findings)
