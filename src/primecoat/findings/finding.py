"""A finding: something about the scene that its owner should know."""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.findings.catalogue import CATALOGUE, Severity
from primecoat.location import Location, printable


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One condition of the catalogue, met at one place.

    Parameters
    ----------
    code
        ``PC`` and three digits, a key of :data:`primecoat.findings.CATALOGUE`.
    where
        Path of the image or scene it is about, as the survey names it.
    message, remedy
        What is wrong and what to do, in words a lighting artist understands.
    location
        The place in a scene file, if the finding is about one.
    """

    code: str
    where: str
    message: str
    remedy: str
    location: Location | None = None

    @property
    def name(self) -> str:
        """Name of the fault."""
        return CATALOGUE[self.code].name

    @property
    def severity(self) -> Severity:
        """How grave it is: ``error``, ``warning`` or ``note``."""
        return CATALOGUE[self.code].severity

    def as_document(self) -> dict[str, str]:
        """Return the finding as it stands in JSON documents."""
        document = {
            "code": self.code,
            "name": self.name,
            "severity": self.severity,
            "where": printable(self.where),
            "message": printable(self.message),
            "remedy": printable(self.remedy),
        }
        return document | ({"location": printable(str(self.location))} if self.location else {})


def finding(
    name: str, where: str, message: str, remedy: str, location: Location | None = None
) -> Finding:
    """Return the finding whose catalogue entry has this name.

    Examples
    --------
    >>> finding("file_is_missing", "cup.png", "Not there.", "Put it back.").code
    'PC401'
    """
    code = next(entry.code for entry in CATALOGUE.values() if entry.name == name)
    return Finding(code=code, where=where, message=message, remedy=remedy, location=location)
