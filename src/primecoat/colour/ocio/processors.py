"""Processors without shortcuts, and arrays put through them."""

from __future__ import annotations

import numpy as np
import PyOpenColorIO as ocio
from numpy.typing import NDArray

from primecoat.errors import UseError

Floats = NDArray[np.float32]

_ZEROS = np.zeros(64, np.float32)

# A person's variable would come before the flags asked for below, and no output would tell.
ocio.UnsetEnvVariable("OCIO_OPTIMIZATION_FLAGS")


def clean_registers() -> None:
    """Make this thread fit for OpenColorIO after OpenImageIO has decoded in it.

    OpenImageIO 3.2 leaves the upper halves of the vector registers in use when it has read
    OpenEXR, and OpenColorIO then works at half speed in that thread for as long as nobody cleans
    them. Measured on 192,000 pixels through the ACES 2 view: 75 ms, after a read 158 ms, after
    this 76 ms (which takes 2 µs). NumPy's vector functions clean up behind themselves.
    """
    np.exp(_ZEROS)


def built(loaded: ocio.Config, what: str, *asked: object) -> ocio.Processor:
    """Return the processor that a config builds for ``asked``, arguments of ``getProcessor``.

    Parameters
    ----------
    loaded
        The config.
    what
        What the processor does, as a sentence's object, for the message.

    Raises
    ------
    UseError
        If the config cannot build it: a space or view it lacks, a file that is missing.
    """
    try:
        return loaded.getProcessor(*asked)
    except (ocio.Exception, ocio.ExceptionMissingFile) as error:
        raise UseError(
            f"The config cannot make {what}: {str(error).splitlines()[0]}",
            "See what is wrong with it: primecoat config check CONFIG.",
        ) from error


def exact(processor: ocio.Processor) -> ocio.CPUProcessor:
    """Return a processor that takes no shortcut."""
    return processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE)


def applied(
    processor: ocio.CPUProcessor, values: NDArray[np.floating] | tuple[float, ...]
) -> Floats:
    """Return values (shape (..., 3)) put through a processor, as new float32.

    Raises
    ------
    UseError
        If there are not three channels.
    """
    pixels = np.array(values, dtype=np.float32, order="C")
    if pixels.shape[-1] != 3:
        raise UseError(
            f"Colours cannot be converted: they have {pixels.shape[-1]} channels, not 3.",
            "Give red, green and blue only, and keep alpha aside.",
        )
    if pixels.size:
        rows = pixels.reshape(1, -1, 3)
        clean_registers()
        processor.apply(ocio.PackedImageDesc(rows, rows.shape[1], 1, 3))
    return pixels
