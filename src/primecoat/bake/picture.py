"""Bake one picture: colour converted exactly, everything else as it was, one true label."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from primecoat.bake.convert_part import PartBake
from primecoat.bake.layout import Layout, chosen_layers, lay_out
from primecoat.bake.light_levels import LightLevels
from primecoat.bake.plate import Turned
from primecoat.bake.stored_numbers import Rows, Tally, stored
from primecoat.colour.ocio import library_version as ocio_version
from primecoat.errors import RefusedError
from primecoat.files import ASIDE_PREFIX, ASIDE_SUFFIX
from primecoat.images.colour_layers import ColourLayer
from primecoat.images.header import ImageHeader
from primecoat.images.oiio import library_version as oiio_version
from primecoat.images.oiio_stream import Level, read_parts, read_rows, write_parts
from primecoat.images.part import Attribute, Part
from primecoat.images.read_header import read_header
from primecoat.plan.baked import layer_words, recipe_words, record
from primecoat.plan.recipe import USUAL, Storage
from primecoat.version import __version__

LayerReadings = Mapping[tuple[int, str], str]
"""Reading of a layer by number of its part and its name."""

_TYPES = {"half": "half", "float": "float", "16-bit": "uint16", "8-bit": "uint8"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Baked:
    """What a bake came to.

    Parameters
    ----------
    number
        Type that colour is stored as: ``half``, ``float``, ``uint16`` or ``uint8``.
    tally
        What was met on the way.
    """

    number: str
    tally: Tally

    @property
    def cost(self) -> str:
        """What 8 bits cost, in words; empty for finer numbers.

        Examples
        --------
        >>> tally = Tally(colours=1000, changed=701, greatest=20)
        >>> Baked(number="uint8", tally=tally).cost
        '70.1 % of its colours change on the way back, by up to 20 of 255'
        """
        if not self.tally.colours:
            return ""
        share = 100 * self.tally.changed / self.tally.colours
        return (
            f"{share:.1f} % of its colours change on the way back, "
            f"by up to {self.tally.greatest} of 255"
        )


class _BeyondHalfError(Exception):
    """Values came up that half cannot hold."""


def bake_picture(
    source: Path,
    target: Path,
    *,
    reading: str,
    to_space: str,
    config: str,
    source_sha256: str,
    storage: Storage = USUAL,
    layers: LayerReadings | None = None,
    against: tuple[str, str] | None = None,
) -> Baked:
    """Write a picture whose colour is converted from its reading to another space.

    Rows stream through, so that memory is bounded by the band, not by the picture. Channels that
    hold no colour, alpha among them, keep type and value; colour under zero alpha is kept. Colour
    is multiplied by alpha as it is in the source (never in PNG, which forbids it), and divided by
    it only while a curve is applied. NaN and infinity stay in their own pixel and channel.

    Parameters
    ----------
    source, target
        Pictures; the target's suffix is ``storage.ending``. It is replaced if it exists.
    reading, to_space
        Color Interop IDs.
    config
        OpenColorIO config, built-in name or path.
    source_sha256
        Hash of the source, for the record.
    storage
        How the result is stored.
    layers
        Readings of further layers; those that are not named, but for the first, are carried.
    against
        Display and view that a picture ready for a display is taken back through, so that the
        view shows it again; by default nothing but its encoding is undone.

    Raises
    ------
    ImageError
        If the picture cannot be read or written, or has no colour by its channels' names.
    RefusedError
        If the format cannot hold the picture, or has no true way to state the space.
    """
    header = read_header(source)
    parts = read_parts(source)
    if len(parts) > 1 and storage.ending != ".exr":
        raise RefusedError(
            f"{source} has {len(parts)} parts, and a {storage.ending} file is written with one.",
            "Store it as .exr.",
        )
    wanted = chosen_layers(str(source), parts, reading, dict(layers or {}))
    recipe = _recipe(reading, to_space, config, storage, layers or {}, against)
    written = record(recipe, source_sha256, storage.ending)
    view = (reading, to_space, config, *against) if against else None
    job = _Job(source, target, header, parts, wanted, to_space, config, storage, written, view)
    number = _number(storage, parts, wanted)
    if number != "half":
        return job.write(number, stop_beyond=False)
    try:
        return job.write("half", stop_beyond=storage.beyond_half == "float")
    except _BeyondHalfError:
        return job.write("float", stop_beyond=False)


@dataclass(frozen=True, slots=True)
class _Job:
    source: Path
    target: Path
    header: ImageHeader
    parts: tuple[Part, ...]
    wanted: tuple[tuple[tuple[ColourLayer, str], ...], ...]
    to_space: str
    config: str
    storage: Storage
    record: tuple[Attribute, ...]
    view: tuple[str, str, str, str, str] | None

    def write(self, number: str, *, stop_beyond: bool) -> Baked:
        """Write the picture with colour stored as one type."""
        tally = Tally()
        turned = Turned(*self.view) if self.view else None
        layouts = [self._lay_out(place, number) for place in range(len(self.parts))]
        with tempfile.TemporaryDirectory(
            prefix=ASIDE_PREFIX, suffix=ASIDE_SUFFIX, dir=self.target.parent
        ) as scratch:
            levels = []
            for place, layout in enumerate(layouts):
                folder = Path(scratch) / str(place)
                folder.mkdir()
                levels.append(self._levels(place, layout, tally, turned, folder, stop_beyond))
            try:
                write_parts(self.target, [layout.new for layout in layouts], levels)
            except BaseException:
                self.target.unlink(missing_ok=True)
                raise
        if turned is not None:
            turned.finish(tally)
        return Baked(number=number, tally=tally)

    def _lay_out(self, place: int, number: str) -> Layout:
        frame = self.parts[0].window  # all parts of an OpenEXR file share it; pages need not
        return lay_out(
            replace(self.parts[place], window=frame),
            self.wanted[place],
            source_format=self.header.format,
            to_space=self.to_space,
            config=self.config,
            storage=self.storage,
            number=number,
            multiplied=self._multiplied,
            record=() if place else self.record,
        )

    @property
    def _multiplied(self) -> bool:
        return self.header.alpha == "associated"

    def _levels(
        self,
        place: int,
        layout: Layout,
        tally: Tally,
        turned: Turned | None,
        folder: Path,
        stop_beyond: bool,
    ) -> list[Level]:
        new = layout.new
        multiply = self._multiplied and self.storage.ending != ".png"
        baker = PartBake(
            part=layout.part,
            new=new,
            layers=layout.layers,
            carried=layout.carried,
            to_space=self.to_space,
            config=self.config,
            multiplied=self._multiplied,
            multiply=multiply,
            kind="float32" if new.levels > 1 else new.array_type,
            turned=turned,
            tally=tally,
        )
        smaller: LightLevels | None = None
        if new.levels > 1:
            smaller = LightLevels(
                layout, self.to_space, self.config, multiply=multiply, scratch=folder
            )

        def whole() -> Iterator[Rows]:
            for groups in read_rows(self.source, layout.part.place, layout.part):
                rows = baker.convert(groups)
                if stop_beyond and tally.beyond_half:
                    raise _BeyondHalfError
                if smaller is not None:
                    smaller.put(rows)
                    rows = stored(rows, new.array_type, tally)
                yield rows

        levels: list[Level] = [whole]
        if smaller is not None:
            levels += [partial(smaller.level, number) for number in range(1, new.levels)]
        return levels


def versions() -> str:
    """Return the versions of what makes a picture, as its recipe tells them."""
    return f"primecoat {__version__}, OpenColorIO {ocio_version()}, OpenImageIO {oiio_version()}"


def _recipe(
    reading: str,
    to_space: str,
    config: str,
    storage: Storage,
    layers: LayerReadings,
    against: tuple[str, str] | None,
) -> str:
    words = (
        recipe_words(reading, to_space, config, storage.as_text(), against),
        versions(),
        *(layer_words(part, name, own) for (part, name), own in layers.items()),
    )
    return "; ".join(words)


def _number(
    storage: Storage,
    parts: Sequence[Part],
    wanted: Sequence[Sequence[tuple[ColourLayer, str]]],
) -> str:
    """Return the type that colour is stored as.

    ``auto`` is half, or float where colour is float (or finer than half) in the source. TIFF has
    one type for all channels, so it is float there where alpha is finer than half.
    """
    number = _TYPES.get(storage.number, "half")
    coloured = [
        part.types[channel]
        for part, layers in zip(parts, wanted, strict=True)
        for layer, _ in layers
        for channel in layer.channels
    ]
    if storage.number == "auto" and {"float", "double", "uint", "int"} & set(coloured):
        return "float"
    if storage.ending == ".tif" and number == "half":
        others = [kind for part in parts for kind in part.types]
        if len(others) > len(coloured) and set(others) != {"half"}:
            return "float"
    return number
