"""Where the numbers of a picture come from: a file, one of a set, or bytes inside a scene file."""

from __future__ import annotations

import hashlib
import tempfile
from collections.abc import Hashable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from primecoat.errors import ImageError, UseError
from primecoat.images.header import ImageHeader
from primecoat.images.read_header import read_header
from primecoat.inventory import ImageRecord
from primecoat.inventory.measure_embedded import embedded_suffix
from primecoat.report.shown.apart import in_worker
from primecoat.report.shown.kept import KEPT


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One picture.

    Parameters
    ----------
    name
        As it is called in messages.
    path
        The file; None for bytes inside a scene file.
    data, media_type
        Those bytes, and what they are said to be.
    digest
        Hash of those bytes.
    """

    name: str
    path: Path | None = None
    data: bytes = field(default=b"", repr=False)
    media_type: str = ""
    digest: str = ""

    def key(self) -> Hashable:
        """Return what changes when the picture does: time, size and inode, or hash of the bytes.

        Raises
        ------
        ImageError
            If the file is gone.
        """
        if self.path is None:
            return self.digest
        try:
            found = self.path.stat()
        except OSError as error:
            raise ImageError(
                f"Cannot read the picture {self.name}: {error.strerror}.",
                "Put the file there, or survey the scene again.",
            ) from error
        return str(self.path), found.st_mtime_ns, found.st_size, found.st_ino

    @contextmanager
    def opened(self) -> Iterator[Path]:
        """Give the picture as a file; bytes are laid in a temporary one.

        OpenImageIO's Python binding reads from names only.
        """
        if self.path is not None:
            yield self.path
            return
        with tempfile.TemporaryDirectory(prefix="primecoat-") as folder:
            path = Path(folder) / f"image{embedded_suffix(self.data, self.media_type)}"
            path.write_bytes(self.data)
            yield path

    def header(self) -> ImageHeader:
        """Return the header as the file is now.

        Raises
        ------
        ImageError
            If it cannot be read.
        """
        return KEPT.get(
            ("header", self.key()), lambda: in_worker(self.name, _header, self), lambda _: 4096
        )


def _header(source: Source) -> ImageHeader:
    with source.opened() as path:
        return read_header(path)


def source_of(image: ImageRecord | Path | str, frame: int = 0) -> Source:
    """Return where an image's numbers come from.

    Parameters
    ----------
    image
        A record of an inventory, or a file.
    frame
        Which of the files of a set of tiles or frames, from 0.

    Raises
    ------
    UseError
        If the image has no such file.
    """
    if not isinstance(image, ImageRecord):
        return Source(name=str(image), path=Path(image))
    if image.embedded is not None and not image.files and frame == 0:
        digest = image.measures[0].sha256 if image.measures else ""
        digest = digest or hashlib.sha256(image.embedded).hexdigest()
        return Source(
            name=image.path, data=image.embedded, media_type=image.media_type, digest=digest
        )
    if not 0 <= frame < len(image.files):
        count = len(image.files)
        raise UseError(
            f"{image.path} has no file number {frame}: "
            f"{f'it is a set of {count}, counted from 0' if count else 'it is missing'}.",
            "Name one that is there, or put the file in its place and survey again.",
        )
    file = image.files[frame]
    return Source(name=file.name if len(image.files) > 1 else image.path, path=file)
