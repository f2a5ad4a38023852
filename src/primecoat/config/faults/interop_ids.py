"""PC511, PC512, PC513: Color Interop IDs that lead nowhere, to two spaces, or to other numbers."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from primecoat.colour.ids import DATA
from primecoat.config.faults.common import about, spaces
from primecoat.config.identify import identify
from primecoat.config.names_elsewhere import OPENCOLORIO
from primecoat.config.subject import Subject
from primecoat.findings import Finding


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding for every interop ID that does not hold."""
    config = subject.loaded
    owners: dict[str, list[str]] = defaultdict(list)
    for space in spaces(config):
        if space.getInteropID():
            owners[str(space.getInteropID())].append(str(space.getName()))
    for name, owner in owners.items():
        if len(owner) > 1:
            yield about(
                subject,
                "interop_id_is_used_twice",
                f"colour space {owner[1]}",
                f"The interop ID {name} stands at {len(owner)} spaces: {', '.join(owner)}.",
                "Leave it at the one that it means.",
            )
        if config.getColorSpace(name) is None:
            yield about(
                subject,
                "interop_id_names_no_space",
                f"colour space {owner[0]}",
                f"The interop ID {name} of {owner[0]!r} is no name or alias of any space, so a "
                "file that states it is not understood.",
                f"Add {name} to the aliases of {owner[0]!r}.",
            )
        for space_name in owner:
            yield from _disagreement(subject, name, space_name)


def _disagreement(subject: Subject, stated: str, space: str) -> Iterator[Finding]:
    found = identify(subject.loaded, space)
    if found.by != "interop ID" or not found.contradicts:
        return
    if DATA in (stated.removeprefix(OPENCOLORIO), found.by_transform):
        words = "one says data and the other colour"
        if found.reading == DATA:
            return  # told as data that is not marked
    elif found.by_transform:
        words = f"its numbers are those of {found.by_transform}"
    elif found.distance is not None:
        words = f"its light is off by up to {100 * found.distance:.1f} %"
    else:
        words = "one is of the scene and the other of a display"
    yield about(
        subject,
        "interop_id_disagrees",
        f"colour space {space}",
        f"The space {space!r} says it is {stated}, but {words}.",
        "Correct the transform, or take the ID away.",
    )
