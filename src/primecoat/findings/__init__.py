"""What the owner of a scene should know: the finding type and the one table of codes."""

from primecoat.findings.catalogue import CATALOGUE, CatalogueEntry, Severity
from primecoat.findings.finding import Finding, finding

__all__ = ["CATALOGUE", "CatalogueEntry", "Finding", "Severity", "finding"]
