"""A list of corrections from anywhere opens nothing elsewhere."""

from __future__ import annotations

from pathlib import Path

import pytest

from primecoat import corrections
from primecoat.errors import InputError

CUBE = "LUT_3D_SIZE 2\n" + "".join(f"{n & 1} {n >> 1 & 1} {n >> 2}\n" for n in range(8))
SPACE = "lin_rec709_scene"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a look-up file in it, and one outside."""
    folder = tmp_path / "shot"
    (folder / "in").mkdir(parents=True)
    for place in (folder / "in", tmp_path):
        (place / "a.cube").write_text(CUBE)
    (folder / "link.cube").symlink_to(tmp_path / "a.cube")
    (folder / "circle.cube").symlink_to(folder / "circle.cube")
    return folder


WRITERS = {
    "old.toml": "[[correction]]\nfile = '{}'\n",
    "old.csv": "correction,value\nfile,{}\n",
    "old.yaml": "- !<FileTransform> {{src: '{}'}}\n",
}


@pytest.mark.parametrize("name", WRITERS)
@pytest.mark.parametrize("named", ["../a.cube", "{out}/a.cube", "link.cube", "circle.cube"])
def test_nothing_elsewhere_is_opened(name: str, named: str, folder: Path):
    path = folder / name
    path.write_text(WRITERS[name].format(named.format(out=folder.parent)))
    with pytest.raises(InputError, match="not below its folder; it was not opened") as error:
        corrections(path, from_space=SPACE, gives=SPACE)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize("name", WRITERS)
def test_what_lies_below_is_read(name: str, folder: Path):
    path = folder / name
    path.write_text(WRITERS[name].format("in/../in/a.cube"))
    judged = corrections(path, from_space=SPACE, gives=SPACE)
    assert judged.whole.verdict == "must go"  # such a table ends at 0 and 1


def test_a_name_with_an_id_leads_nowhere_else(folder: Path):
    """The part before the mark is the file; what is behind it cannot lead back."""
    (folder.parent / "x.cdl").write_text("<ColorDecisionList/>")
    path = folder / "old.toml"
    path.write_text("[[correction]]\nfile = '../x.cdl#a/../../shot/in'\nclamp = true\n")
    with pytest.raises(InputError, match="not below its folder"):
        corrections(path, from_space=SPACE)


def test_a_group_in_a_list_leads_nowhere_else(folder: Path):
    """OpenColorIO would open what a group names."""
    path = folder / "old.yaml"
    inside = f"!<FileTransform> {{src: '{folder.parent}/a.cube'}}"
    path.write_text(f"- !<GroupTransform> {{children: [{inside}]}}\n")
    with pytest.raises(InputError, match="not below its folder"):
        corrections(path, from_space=SPACE, gives=SPACE)
