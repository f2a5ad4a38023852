"""PC501, PC515, PC516: files that a transform names and that are not there for everyone.

OpenColorIO's own validation passes a look whose file is missing.
"""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.config.confined_files import ABSOLUTE
from primecoat.config.faults.common import about
from primecoat.config.subject import Subject
from primecoat.findings import Finding


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding for every file that is missing or found on this machine only."""
    for path in map(str, subject.loaded.getSearchPaths()):
        if ABSOLUTE.match(path):
            yield about(
                subject,
                "path_is_not_portable",
                "search_path",
                f"The search path {path!r} exists on machines set up like this one only.",
                "Put the files beside the config and name their folder, such as 'luts'.",
            )
    for use, found in subject.files:
        names = f"{_capital(use.owner)} names the file {use.source!r}"
        if found.state == "other case":
            yield about(
                subject,
                "lut_name_differs_in_case",
                use.owner,
                f"{names}; on disk it is {found.name!r}.",
                "Write the name as on disk: systems that tell upper from lower case miss the file.",
            )
        elif found.state == "outside" or ABSOLUTE.match(use.source):
            unread = " It was not opened." if found.state == "outside" else ""
            yield about(
                subject,
                "path_is_not_portable",
                use.owner,
                f"{names}, outside the config's folder.{unread}",
                "Put the file beside the config and name it without folders of this machine.",
            )
        elif found.state == "missing":
            yield about(
                subject,
                "lut_file_is_missing",
                use.owner,
                f"{_capital(use.owner)} needs the file {use.source!r}, which is not in "
                f"{' or '.join(dict.fromkeys(_folders(found.tried, use.source)))}.",
                "Put the file there, or take it out of the config.",
            )


def _folders(tried: tuple[str, ...], source: str) -> Iterator[str]:
    for path in tried:
        yield path.removesuffix(source).rstrip("/\\") or path


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
