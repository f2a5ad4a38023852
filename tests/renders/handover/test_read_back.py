"""What a file is not as it was meant, is found before the file gets its name."""

from __future__ import annotations

import numpy as np
import pytest
from tests.images import written as by_hand
from tests.renders.handover import masters as m

from primecoat import workflow
from primecoat.images import oiio_stream
from primecoat.images.true_statement import statement
from primecoat.renders.handover import write
from primecoat.renders.handover.kinds import KINDS


def failed(path, kind, **options):
    found = workflow.handover([path], kind, **options)
    assert [p.name for p in found.folder.iterdir() if p.is_file()] == [found.manifest.name]
    return found.failed[0].reason


@pytest.mark.parametrize("kind", ["st2065-4", "acescg-exr", "srgb-png", "p3-tiff"])
def test_a_wrong_number_is_found(tmp_path, monkeypatch, kind):
    """One number of one row goes wrong on its way to the disk."""
    path = m.master(tmp_path / "beauty.exr", m.light())
    sound = oiio_stream.write_parts

    def wrong(target, parts, levels):
        def rows():
            for band in levels[0][0]():
                other = band.copy()
                other[3, 5, 1] = 0.5 if other.dtype.kind == "f" else other[3, 5, 1] ^ 1
                yield other

        sound(target, parts, [[rows]])

    monkeypatch.setattr(write, "write_parts", wrong)
    assert "its pixels are others" in failed(path, kind)


@pytest.mark.parametrize(
    ("kind", "stated", "words"),
    [
        ("acescg-exr", ("chromaticities", "float[8]", m.STALE), "2 statements of colour"),
        ("acescg-exr", ("adoptedNeutral", "float[2]", (0.3, 0.3)), "it has adoptedNeutral"),
        ("ap0-exr", ("whiteLuminance", "float", 100.0), "it has whiteLuminance"),
        ("ap0-exr", ("acesImageContainerFlag", "int", 1), "non-compliant ACES Container"),
        ("st2065-4", ("chromaticities", "float[8]", m.STALE), "not set to AP0"),
        ("p3-png", statement("srgb_rec709_scene", ".png")[0], "states srgb_rec709_display"),
        ("srgb-tiff", statement("srgb_p3d65_scene", ".tif")[0], "states srgb_p3d65_display"),
    ],
)
def test_a_wrong_label_is_found(tmp_path, monkeypatch, kind, stated, words):
    path = m.master(tmp_path / "beauty.exr", m.light())
    own = write.said
    monkeypatch.setattr(write, "said", lambda recipe: (*own(recipe), stated))
    assert words in failed(path, kind)


def test_jpeg_of_another_picture_is_found(tmp_path, monkeypatch):
    path = m.master(tmp_path / "beauty.exr", np.tile(m.light(), (2, 2, 1)))
    sound = oiio_stream.write_parts
    monkeypatch.setattr(
        write,
        "write_parts",
        lambda target, parts, levels: sound(
            target, parts, [[lambda: (band[:, ::-1] for band in levels[0][0]())]]
        ),
    )
    assert "its pixels are others" in failed(path, "srgb-jpeg")


def test_every_kind_has_one_name_and_a_true_statement():
    for name, kind in KINDS.items():
        assert name == kind.name
        assert statement(kind.space, ".exr" if not kind.seen else kind.ending)
    assert by_hand.SRGB_CHRM[0] == 31270  # the white that no PNG here needs to state
