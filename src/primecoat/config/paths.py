"""Under which paths a program may hand a file to OpenColorIO."""

from __future__ import annotations

from pathlib import Path

from primecoat.inventory import ImageRecord
from primecoat.scenes.placeholders import has_placeholder


def written(record: ImageRecord) -> tuple[str, ...]:
    """Return the texts by which scenes refer to an image, each once."""
    return tuple(dict.fromkeys(use.reference.text for use in record.uses))


def handed_over(file: Path, texts: tuple[str, ...]) -> tuple[str, ...]:
    """Return the paths of one file of an image: the whole path, then others, each once.

    Most programs hand over the whole path; some the text that the scene has, with the number of
    the tile or frame put in or with its placeholder as it is.

    Parameters
    ----------
    file
        The file, absolute.
    texts
        The image's names in scenes.

    Examples
    --------
    >>> handed_over(Path("/tea/tex/tray.1001.png"), ("tex/tray.<UDIM>.png",))
    ('/tea/tex/tray.1001.png', 'tex/tray.1001.png', 'tex/tray.<UDIM>.png')
    """
    paths = [str(file)]
    for text in texts:
        if has_placeholder(text):
            folder = text.replace("\\", "/").rpartition("/")[0]
            paths.append(f"{folder}/{file.name}" if folder else file.name)
        paths.append(text)
    return tuple(dict.fromkeys(paths))
