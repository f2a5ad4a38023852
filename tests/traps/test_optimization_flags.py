"""A variable of the environment comes before the flags that OpenColorIO is asked for."""

from __future__ import annotations

import os
import subprocess
import sys

BY_THE_LIBRARY = """
import PyOpenColorIO as ocio
config = ocio.Config.CreateFromBuiltinConfig("studio-config-v4.0.0_aces-v2.0_ocio-v2.5")
view = ("lin_ap1_scene", "sRGB - Display", "ACES 2.0 - SDR 100 nits (Rec.709)")
processor = config.getProcessor(*view, ocio.TRANSFORM_DIR_FORWARD)
exact = processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE)
print([float(v).hex() for v in exact.applyRGB([0.18, 0.5, 0.02])])
"""
BY_PRIMECOAT = """
from primecoat.colour.ocio import DEFAULT_DISPLAY, DEFAULT_VIEW, through_view
print([float(v).hex() for v in through_view((0.18, 0.5, 0.02), "lin_ap1_scene")])
"""
LOSSY = {"OCIO_OPTIMIZATION_FLAGS": "0x0FFFFFFF"}


def printed(code: str, **more: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code], env=os.environ | more, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_the_trap_is_there():
    assert printed(BY_THE_LIBRARY) != printed(BY_THE_LIBRARY, **LOSSY)


def test_primecoat_takes_no_shortcut_because_of_it():
    assert printed(BY_PRIMECOAT) == printed(BY_PRIMECOAT, **LOSSY)
