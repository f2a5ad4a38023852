"""What OpenColorIO says while it does something."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import PyOpenColorIO as ocio


@contextmanager
def library_log() -> Iterator[list[str]]:
    """Collect OpenColorIO's messages instead of printing them.

    Log level and log function are those of the whole process; both are put back. Where the
    environment fixes the level by ``OCIO_LOGGING_LEVEL``, OpenColorIO lets nobody change it.
    """
    lines: list[str] = []
    before = ocio.GetLoggingLevel()
    ocio.SetLoggingLevel(ocio.LOGGING_LEVEL_WARNING)
    ocio.SetLoggingFunction(lambda line: lines.append(str(line).strip()))
    try:
        yield lines
    finally:
        ocio.ResetToDefaultLoggingFunction()
        ocio.SetLoggingLevel(before)
