"""The written config reads every file as Primecoat does: the demo scene, and generated names."""

from __future__ import annotations

import shutil
from pathlib import Path

import PyOpenColorIO as ocio
import pytest
from evaluation.config_names import OURS, evaluate, generated_paths, names_of

from primecoat import workflow
from primecoat.colour.ids import UNKNOWN
from primecoat.config.plan_content import plan_content
from primecoat.config.write import write_config
from primecoat.reading.names import split_name

ENDINGS = {".png", ".exr", ".hdr", ".tif", ".tiff", ".jpg", ".tga", ".webp", ".tx"}


def test_the_tagged_demo_scene(tmp_path: Path, written_faulted: Path):
    """After the tag route every picture is read as its token says, and the tagged ones rightly."""
    folder = tmp_path / "tea"
    shutil.copytree(written_faulted, folder)
    plan = workflow.plan(workflow.survey(folder / "tea.gltf", verify=True), "tag")
    workflow.apply(plan)
    path = write_config(plan_content(), folder / "tea.ocio").path
    config, names = ocio.Config.CreateFromFile(str(path)), names_of(str(path))
    tagged = {
        str(folder / operation.target): operation.reading
        for operation in plan.operations
        if hasattr(operation, "target") and hasattr(operation, "reading")
    }
    pictures = [p for p in folder.rglob("*") if p.suffix.lower() in ENDINGS]
    pictures = [p for p in pictures if ".primecoat" not in p.parts]
    assert len(tagged) > 10
    assert set(tagged) <= set(map(str, pictures))
    for picture in pictures:
        space = config.getColorSpaceFromFilepath(str(picture))[0]
        assert names[space] == (split_name(picture.name).token_reading or UNKNOWN)
        assert names[space] == tagged.get(str(picture), names[space])


@pytest.fixture(scope="module")
def counts():
    """Return how configs read 10,000 generated names."""
    return {count.config: count for count in evaluate(10_000)}


def test_generated_names(counts):
    """Of 10,000 names none is read otherwise; the names are of all kinds."""
    ours = counts[OURS]
    assert (ours.token_wrong, ours.none_wrong, ours.most) == (0, 0, ())
    assert ours.token_right > 4000
    assert ours.none_right > 3000


def test_built_in_configs_misread(counts):
    """No built-in config knows tokens: all read data as colour, and none says it does not know."""
    built_in = [count for name, count in counts.items() if name != OURS]
    assert len(built_in) == len(ocio.BuiltinConfigRegistry().getBuiltinConfigs())
    for count in built_in:
        assert count.token_wrong > 20 * count.token_right
        assert count.data_as_colour > 400
        assert count.none_right == 0


def test_names_are_of_all_kinds():
    """The generated names carry Windows paths, blanks, look-alikes, tiles and mixed case."""
    paths = [path.path for path in generated_paths(2000)]
    for part in ("c:\\", "茶碗", " ", "drawings", "<UDIM>", "u1_v1", "%04d", "####", "/jobs/raw/"):
        assert any(part in path for path in paths)
    assert len(set(paths)) > 1900
    assert any(not split_name(p.replace("\\", "/").rpartition("/")[2]).ending for p in paths)
