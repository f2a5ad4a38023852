"""A handover as a JSON document."""

from __future__ import annotations

from primecoat.documents import Document
from primecoat.renders.handover.run import Handover
from primecoat.report.versions import versions


def handover_document(found: Handover) -> Document:
    """Return a handover as ``primecoat.handover/1``: the manifest, and what this run made."""
    document = {"document": found.document["document"], **versions(), **found.document}
    document["folder"] = found.folder.as_posix()
    document["manifest"] = found.manifest.as_posix()
    document["made"] = [one.record.output for one in found.done if one.made]
    document["were_there"] = [one.record.output for one in found.done if not one.made]
    return document
