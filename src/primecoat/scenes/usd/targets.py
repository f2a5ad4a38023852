"""What an edit of a stage is aimed at: the place of an edit, taken apart."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from primecoat.errors import RefusedError
from primecoat.scenes.usd import door
from primecoat.scenes.usd.places import Choice, Places


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """An attribute, the variants it stands in, and what of it is meant.

    Parameters
    ----------
    path
        Path of the attribute without variants.
    choices
        The variants that the place leads through, outermost first.
    what
        ``asset``, ``colorSpace``, ``value``, ``values`` or ``product``.
    beside
        Variants of other sets that are selected while the place is looked at: what stands there is
        hidden without.
    time, item
        Time sample and element of an array, where one is meant.
    """

    path: Any
    choices: tuple[Choice, ...]
    what: str
    beside: tuple[Choice, ...] = ()
    time: float | None = None
    item: int | None = None


def target_of(place: str) -> Target:
    """Take the place of an edit apart.

    Raises
    ------
    RefusedError
        If it is no place in a stage.
    """
    written, rest = _split(place)
    parts = rest.split("/")[1:] if rest else []
    time = float(parts.pop(1)) if parts[:1] == ["time"] and len(parts) > 1 else None
    parts = parts[1:] if time is not None else parts
    item = int(parts.pop(1)) if parts[:1] == ["item"] and len(parts) > 1 else None
    parts = parts[1:] if item is not None else parts
    what = parts[0] if parts else "asset"
    if len(parts) > 1 or what not in ("asset", "colorSpace", "value", "values", "product"):
        raise RefusedError(f"A USD scene cannot be edited at {place}.", "Make a new plan.")
    valid, _ = door.Sdf.Path.IsValidPathString(written)
    path = door.Sdf.Path(written if valid else "")
    if not (path.IsAbsolutePath() and path.IsPropertyPath()):
        raise RefusedError(f"{place} is no place in a USD scene.", "Make a new plan.")
    return Target(
        path=path.StripAllVariantSelections(),
        choices=tuple(choices_of(path)),
        what=what,
        time=time,
        item=item,
    )


def marked(path: Any, choices: tuple[Choice, ...]) -> Any:
    """Return the path of a prim or property that leads through some variants."""
    result = door.Sdf.Path.absoluteRootPath
    for prefix in path.GetPrimPath().GetPrefixes():
        result = result.AppendChild(prefix.name)
        for owner, name, variant in choices:
            if owner == prefix:
                result = result.AppendVariantSelection(name, variant)
    return result.AppendProperty(path.name) if path.IsPropertyPath() else result


def standing_in(place: str, other: str) -> str:
    """Return a place with the variants added that another place leads through, where it can.

    A picture that only a variant names is used by a plain input: the use is that variant's.
    """
    path, further = door.Sdf.Path(place), choices_of(door.Sdf.Path(other))
    plain = path.StripAllVariantSelections()
    choices = dict.fromkeys([*choices_of(path), *(c for c in further if plain.HasPrefix(c[0]))])
    return str(marked(plain, tuple(choices)))


def is_meant(attribute: Any, target: Target, places: Places) -> bool:
    """Whether what rules over an attribute now is what a target in a variant means.

    It is not where another set's variant rules alone.
    """
    if not attribute:
        return False
    own = set(target.choices)
    ruling = set(choices_of(door.Sdf.Path(places.of(attribute))))
    return ruling <= own or own <= ruling


def choices_of(path: Any) -> list[Choice]:
    """Return the variants that a path leads through, outermost first."""
    found = []
    while not path.isEmpty and path != door.Sdf.Path.absoluteRootPath:
        if path.IsPrimVariantSelectionPath():
            owner = path.GetPrimPath().StripAllVariantSelections()
            found.append((owner, *path.GetVariantSelection()))
        path = path.GetParentPath()
    return found[::-1]


def _split(place: str) -> tuple[str, str]:
    """Return the path of a property and what follows it; variant names may hold any sign."""
    inside, dot = False, -1
    for at, sign in enumerate(place):
        inside = (inside or sign == "{") and sign != "}"
        if sign == "." and not inside:
            dot = at
            break
    end = place.find("/", dot) if dot >= 0 else -1
    return (place, "") if end < 0 else (place[:end], place[end:])
