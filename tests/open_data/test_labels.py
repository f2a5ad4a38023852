"""The labels of real pictures: complete, in the vocabulary, and true where a document can say."""

from __future__ import annotations

import hashlib
import tarfile
from collections import Counter
from pathlib import Path

import pytest
from PIL import Image
from tests.open_data import npm
from tests.open_data.glb import glb_pictures
from tests.open_data.pictures import HELD_OUT, LABELS, SOURCES, labelled_pictures, read_labels

from primecoat.colour.ids import DATA, SPACES
from primecoat.scenes.model import COLOUR_SLOTS, DATA_SLOTS

pytestmark = pytest.mark.open_data

FILES = (LABELS, HELD_OUT)


@pytest.mark.parametrize("labels", FILES, ids=lambda path: path.stem)
def test_every_word_is_in_the_vocabulary_and_agrees_with_the_others(labels: Path) -> None:
    """A colour sits in a colour slot, data in a data slot; only a colour has a space."""
    for label in read_labels(labels):
        assert label.package in SOURCES, label
        assert label.why.strip(), label
        assert label.truth in ("colour", "data", "unknown"), label
        slots = {"colour": COLOUR_SLOTS, "data": DATA_SLOTS}.get(label.truth)
        assert label.slot in (slots or {*COLOUR_SLOTS, *DATA_SLOTS}), label
        if label.truth == "colour":
            assert label.space in (*SPACES, "unknown"), label
        else:
            assert label.space == (DATA if label.truth == "data" else "unknown"), label


def test_the_held_out_pictures_are_of_other_packages_and_near_a_third() -> None:
    """Chosen by package, so that no near-double of a fitted picture is among them."""
    fitted, held_out = (read_labels(path) for path in FILES)
    assert not {label.package for label in fitted} & {label.package for label in held_out}
    assert 0.25 <= len(held_out) / (len(fitted) + len(held_out)) <= 0.4
    for labels in (fitted, held_out):
        kinds = Counter(label.truth for label in labels)
        assert min(kinds["colour"], kinds["data"]) >= 50


def test_every_picture_exists_once_and_opens() -> None:
    """No picture is there twice under two names, in one file of labels or both."""
    seen: dict[str, Path] = {}
    for labels in FILES:
        for path, label in labelled_pictures(labels):
            assert path.is_file(), label
            digest = hashlib.sha256(path.read_bytes()).hexdigest()
            assert digest not in seen, (path, seen[digest])
            seen[digest] = path
            if path.suffix != ".exr":  # which Pillow does not read
                with Image.open(path) as image:
                    assert min(image.size) > 0


def test_the_labels_of_gltf_pictures_are_what_the_materials_say() -> None:
    """glTF 2.0, 3.9: base colour and emission are sRGB colour, the other textures are data."""
    name = "@webxr-input-profiles/assets"
    labels = {label.path: label for label in read_labels(LABELS) if label.package == name}
    folder = SOURCES[name].fetch(SOURCES[name].package)
    checked = set()
    with tarfile.open(npm.cached_archive(SOURCES[name].package)) as members:
        for member in members:
            if not member.name.endswith(".glb"):
                continue
            stem = member.name.split("/", 1)[1].removesuffix(".glb")
            stream = members.extractfile(member)
            assert stream is not None
            for inside, picture, slots in glb_pictures(stream.read()):
                label = labels.get(f"{stem}/{inside}")
                if label is None:
                    continue
                checked.add(label.path)
                assert (folder / label.path).read_bytes() == picture
                colour = slots & {"base_color", "emissive"}
                assert label.truth == ("colour" if colour else "data"), label
                one_channel = label.slot == "roughness" and "packed" in slots
                assert label.slot in slots or one_channel, label
    assert checked == set(labels)
