"""A config that was written as a JSON document."""

from __future__ import annotations

from primecoat.config.old_view import old_view_name
from primecoat.config.write import WrittenConfig
from primecoat.documents import Document
from primecoat.location import printable
from primecoat.report.versions import versions


def config_write_document(written: WrittenConfig) -> Document:
    """Return what was written as ``primecoat.config_write/1``."""
    content = written.content
    return {
        "document": "primecoat.config_write/1",
        **versions(),
        "config": printable(str(written.path)),
        "sha256": written.sha256,
        "replaced": written.replaced,
        "base": content.base,
        "version": ".".join(map(str, content.version)),
        "to": content.working,
        "from": content.made_in,
        "old_view": (
            None
            if content.made_in is None
            else printable(old_view_name(content.old_look, content.made_in))
        ),
        "look": None if content.look is None else printable(content.look.title),
        "beside": [printable(str(path)) for path in written.beside],
        "spaces": {space.reading: space.name for space in content.spaces},
        "added": [space.reading for space in content.spaces if space.added],
        "file_rules": [
            {"name": rule.name, "regex": rule.regex, "reading": rule.reading}
            for rule in content.rules
        ],
        "default": content.default,
        "roles": dict(content.roles),
        "processors": written.processors,
    }
