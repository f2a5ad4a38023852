"""The pages of a TIFF file: which are pictures of their own, which smaller levels of one.

Sources: TIFF 6.0 (NewSubfileType 254: bit 0 reduced resolution, bit 1 a page of several, bit 2 a
transparency mask; SubfileType 255; PageName 285; ExtraSamples 338; SampleFormat 339); Adobe TIFF
*Technical Note 1* (SubIFDs 330). Pages that halve without saying so: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.images.exif import Directories
from primecoat.images.head import Head
from primecoat.images.header import PartHeader
from primecoat.images.tiff import Tags, statements_of

_MOST_PAGES = 1024
_SUBFILE, _OLD_SUBFILE = 254, 255
_WIDTH, _HEIGHT = 256, 257
_BITS, _PHOTOMETRIC, _SAMPLES = 258, 262, 277
_PAGE_NAME, _SUB_DIRECTORIES, _EXTRA, _SAMPLE_FORMAT = 285, 330, 338, 339
_REDUCED, _OF_SEVERAL, _MASK = 1, 2, 4
_NAMES = {0: "Y", 1: "Y", 2: "RGB", 3: "RGB", 4: "A", 6: "RGB"}
_FORMATS = {1: "uint", 2: "int", 3: "float"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One directory of the main chain.

    Parameters
    ----------
    tags
        Its entries.
    width, height
        Size in pixels; 0 if it is not told.
    is_level
        Whether it is a smaller level of the picture before it.
    below
        Smaller levels in directories of its own.
    """

    tags: Tags
    width: int
    height: int
    is_level: bool
    below: int = 0


def read_pages(head: Head) -> tuple[Page, ...]:
    """Read the directories of the main chain; never raises, whatever the bytes are."""
    directories = Directories(head)
    offset, met = directories.first, set[int]()
    found: list[Page] = []
    while offset and offset not in met and len(found) < _MOST_PAGES:
        met.add(offset)
        tags = directories.entries(offset)
        if not tags:
            break
        found.append(_page(directories, tags, found[-1] if found else None))
        offset = directories.following(offset)
    return tuple(found)


def count_parts(pages: tuple[Page, ...]) -> int:
    """Return the number of pictures, levels left out."""
    return max(1, sum(not page.is_level for page in pages))


def count_levels(pages: tuple[Page, ...]) -> int:
    """Return the number of levels of the first picture, its full size included."""
    count = 1 + (pages[0].below if pages else 0)
    for page in pages[1:]:
        if not page.is_level:
            break
        count += 1
    return count


def part_headers(head: Head, pages: tuple[Page, ...]) -> tuple[PartHeader, ...]:
    """Return every picture of a file with more than one; none otherwise."""
    if count_parts(pages) < 2:
        return ()
    directories = Directories(head)
    return tuple(_part(directories, page.tags) for page in pages if not page.is_level)


def _page(directories: Directories, tags: Tags, before: Page | None) -> Page:
    width = directories.integer(tags.get(_WIDTH)) or 0
    height = directories.integer(tags.get(_HEIGHT)) or 0
    kind = _kind(directories, tags)
    is_level = before is not None and (
        bool(kind & _REDUCED)
        or (
            not kind & (_OF_SEVERAL | _MASK)
            and (width, height) != (before.width, before.height)
            and _halves(width, before.width)
            and _halves(height, before.height)
            and _stored(directories, tags) == _stored(directories, before.tags)
        )
    )
    below = [
        sub
        for sub in _sub_directories(directories, tags)
        if _kind(directories, directories.entries(sub)) & _REDUCED
    ]
    return Page(tags=tags, width=width, height=height, is_level=is_level, below=len(below))


def _kind(directories: Directories, tags: Tags) -> int:
    kind = directories.integer(tags.get(_SUBFILE))
    if kind is not None:
        return kind
    return _REDUCED if directories.integer(tags.get(_OLD_SUBFILE)) == 2 else 0


def _sub_directories(directories: Directories, tags: Tags) -> tuple[int, ...]:
    return directories.integers(tags.get(_SUB_DIRECTORIES))[:_MOST_PAGES]


def _halves(size: int, before: int) -> bool:
    return size in (max(1, before // 2), (before + 1) // 2)


def _stored(directories: Directories, tags: Tags) -> tuple[object, ...]:
    """Return what levels of one picture have in common."""
    told = (_PHOTOMETRIC, _SAMPLES, _BITS, _SAMPLE_FORMAT, _EXTRA)
    return tuple(directories.integers(tags.get(tag)) for tag in told)


def _part(directories: Directories, tags: Tags) -> PartHeader:
    samples = directories.integer(tags.get(_SAMPLES)) or 1
    names = [*_NAMES.get(directories.integer(tags.get(_PHOTOMETRIC)) or 0, "")][:samples]
    extra = directories.integers(tags.get(_EXTRA))
    for number in range(len(names), min(samples, _MOST_PAGES)):
        at = number - samples + len(extra)
        alpha = 0 <= at < len(extra) and extra[at] in (1, 2) and "A" not in names
        names.append("A" if alpha else f"channel{number}")
    bits = directories.integer(tags.get(_BITS)) or 1
    kind = _FORMATS.get(directories.integer(tags.get(_SAMPLE_FORMAT)) or 1, "unknown")
    pixel_type = {"float16": "half", "float32": "float", "float64": "double"}.get(
        f"{kind}{bits}", f"{kind}{bits}"
    )
    return PartHeader(
        name=directories.text(tags.get(_PAGE_NAME)),
        channels=tuple(names),
        pixel_types=(pixel_type,) * len(names),
        statements=statements_of(directories, tags),
    )
