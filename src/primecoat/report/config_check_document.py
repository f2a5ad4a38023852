"""The check of a config as a JSON document."""

from __future__ import annotations

from dataclasses import asdict

from primecoat.config.check import ConfigCheck
from primecoat.documents import Document
from primecoat.location import printable
from primecoat.report.versions import versions


def config_check_document(check: ConfigCheck) -> Document:
    """Return a check as ``primecoat.config_check/1``."""
    return {
        "document": "primecoat.config_check/1",
        **versions(),
        "config": printable(check.config),
        "version": check.version,
        "sound": check.sound,
        "checked": asdict(check.counts),
        "findings": [found.as_document() for found in check.findings],
    }
