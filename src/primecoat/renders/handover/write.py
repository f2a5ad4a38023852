"""One file written: rows as they were meant, rounded to nearest, and one fresh statement."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.bake.labels import PINNED_DATE, kept_header
from primecoat.bake.stored_numbers import stored
from primecoat.images.icc_write import matrix_profile
from primecoat.images.oiio_stream import write_parts
from primecoat.images.part import Attribute, Part
from primecoat.images.true_statement import statement
from primecoat.renders.handover.container import AP0
from primecoat.renders.handover.meant import Counts, Floats, Meant
from primecoat.renders.handover.recipe import Recipe

Rows = NDArray[Any]

_TYPES = {"half": "half", "float": "float", "16-bit": "uint16", "8-bit": "uint8"}
_ARRAYS = {"half": "float16", "float": "float32", "uint16": "uint16", "uint8": "uint8"}

_NOT_OF_A_RENDER = {
    "textureformat", "wrapmodes", "name", "view", "multiview", "deepimagestate", "envmap",
}  # fmt: skip
"""Names, lower case, of what held for a texture, or for the part that was taken out of others."""

_UP = 32
"""PNG: each row as its difference from the one above, which the second reader takes at once."""


class Written:
    """Writes one file, and knows what went into it.

    Parameters
    ----------
    meant
        The numbers.
    part
        The part of the master that they come from.
    """

    def __init__(self, meant: Meant, part: Part) -> None:
        self._meant = meant
        self._source = part
        self._kind = _TYPES[meant.recipe.stored]
        self._hash = hashlib.sha256()
        self.counts = Counts()
        self.part = _new_part(meant, part, self._kind)

    @property
    def sha256(self) -> str:
        """Hash of the stored numbers, row by row, channels in the order R, G, B, A."""
        return self._hash.hexdigest()

    def again(self) -> Iterator[Rows]:
        """Make the same rows once more, without counting anything."""
        other = Written(self._meant, self._source)
        yield from other._rows()

    def write(self, path: Path) -> None:
        """Write the file.

        Raises
        ------
        ImageError
            If the master cannot be read, or the disk refuses the file.
        RefusedError
            If the numbers cannot be stored.
        """
        write_parts(path, [self.part], [[self._rows]])

    def _rows(self) -> Iterator[Rows]:
        for colour, alpha in self._meant.rows(self.counts):
            rows = self._stored(colour, alpha)
            self._hash.update(np.ascontiguousarray(rows).tobytes())
            yield rows

    def _stored(self, colour: Floats, alpha: Floats | None) -> Rows:
        """Return rows as they are stored: shape (rows, width, channels)."""
        kind = _ARRAYS[self._kind]
        rows = stored(colour, kind, self.counts.colour)
        self._measure(colour, rows)
        if alpha is None:
            return rows
        cover = stored(alpha[..., None], kind, self.counts.alpha)
        return np.concatenate([rows, cover], axis=-1)

    def _measure(self, meant: Floats, rows: Rows) -> None:
        if rows.dtype.kind == "f":
            if rows.dtype == np.float32:
                return
            values = rows.astype(np.float32)
            steps = np.ldexp(np.float32(1), np.maximum(np.frexp(values)[1] - 11, -24))
            off = np.abs(values - meant) / steps  # half: 11 bits, at least 2^-24
        else:
            most = np.iinfo(rows.dtype).max
            off = np.abs(rows - np.clip(meant, 0, 1).astype(np.float64) * most)
        self.counts.rounding = max(self.counts.rounding, float(off.max(initial=0)))


def said(recipe: Recipe) -> tuple[Attribute, ...]:
    """Return the statement of a file's space.

    Examples
    --------
    >>> from primecoat.renders.handover.kinds import kind_named
    >>> said(Recipe(kind=kind_named("pq-png")))
    (('CICP', 'int[4]', (9, 16, 0, 1)),)
    """
    kind = recipe.kind
    if kind.strict:
        return (
            ("acesImageContainerFlag", "int", 1),
            ("chromaticities", "float[8]", AP0),
            *statement(kind.space, kind.ending),
        )
    if recipe.profile:
        profile = matrix_profile(kind.space)
        if profile is not None:
            return (("ICCProfile", f"uint8[{len(profile)}]", profile),)
    return statement(kind.space, kind.ending)


def _new_part(meant: Meant, part: Part, kind: str) -> Part:
    recipe, ending = meant.recipe, meant.recipe.kind.ending
    channels = ("R", "G", "B", "A") if meant.alpha else ("R", "G", "B")
    source_is_exr = meant.frame.path.suffix.lower() == ".exr"
    kept = kept_header(part.header, same_format=ending == ".exr" and source_is_exr)
    kept = tuple(a for a in kept if a[0].lower() not in _NOT_OF_A_RENDER)
    how: list[Attribute] = [("compression", "string", recipe.packed), PINNED_DATE]
    if ending != ".exr":
        how.append(("oiio:UnassociatedAlpha", "int", 1))
        kept = tuple(a for a in kept if "[" not in a[1])  # cameras' matrices have no place there
    if ending == ".png":
        how.append(("png:filter", "int", _UP))
    if ending == ".jpg":
        how.append(("jpeg:subsampling", "string", "4:4:4"))
    new = replace(
        part,
        channels=channels,
        types=(kind,) * len(channels),
        tile=None,
        levels=1,
        header=(*kept, *said(recipe), *how),
    )
    return new if ending == ".exr" else replace(new, origin=(0, 0), window=None)
