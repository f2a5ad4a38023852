"""What a worker process loads."""

from __future__ import annotations

import numpy as np

from primecoat.images.oiio import read_pixels, write_pixels
from primecoat.jobs.worker import worker_pool

LOADED = "[name for name in __import__('sys').modules if name.startswith('primecoat')]"


def test_a_worker_that_decodes_a_picture_loads_no_verbs(tmp_path):
    picture = tmp_path / "glaze.png"
    write_pixels(picture, np.full((4, 4, 3), 0.5, np.float32))
    with worker_pool(1) as pool:
        decoded = pool.submit(read_pixels, picture).result()
        loaded = pool.submit(eval, LOADED).result()
    assert decoded.shape == (4, 4, 3)
    assert "primecoat.images.oiio" in loaded
    assert not [name for name in loaded if name.startswith(("primecoat.workflow", "primecoat.cli"))]
