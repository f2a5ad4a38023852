"""A picture is handed over in bands of rows: twice the picture needs no more memory."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest
from tests.renders.handover import masters as m

from primecoat import workflow


@pytest.mark.parametrize("kind", ["st2065-4"])
def test_memory_is_bounded_by_the_band(tmp_path, kind):
    peaks = []
    for times in (1, 3):
        light = np.tile(m.light(64, 25), (60 * times, 16, 1))
        path = m.master(tmp_path / f"tall{times}.exr", light, kind="half")
        del light
        tracemalloc.start()
        workflow.handover([path], kind, workers=1)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] < 1.1 * peaks[0]
