from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from primecoat.colour.ids import SPACES
from primecoat.documents import dumps
from primecoat.errors import InputError
from primecoat.plan.operations import (
    BakeImage,
    ExtractImage,
    LinkImage,
    Operation,
    RemoveCreated,
    RenameImage,
    RestoreFile,
    WriteScene,
    as_document,
    from_document,
)
from primecoat.plan.plan import Held, Plan, load_plan, plan_from
from primecoat.plan.reach import leads_out, writes_another_kind
from primecoat.scenes.model import Edit

_TEXT = st.text(st.characters(exclude_categories=["Cs"]))
_EDITS = st.lists(st.builds(Edit, place=_TEXT, before=_TEXT, after=_TEXT)).map(tuple)


def _operations() -> st.SearchStrategy[Operation]:
    """Return every kind of operation, with any text in its fields."""
    link = {"source": _TEXT, "target": _TEXT, "sha256": _TEXT, "reading": _TEXT}
    return st.one_of(
        st.builds(LinkImage, **link),
        st.builds(RenameImage, **link),
        st.builds(
            ExtractImage, scene=_TEXT, place=_TEXT, target=_TEXT, sha256=_TEXT, reading=_TEXT
        ),
        st.builds(
            BakeImage,
            source=_TEXT,
            target=_TEXT.map(lambda name: f"{name}.exr"),
            source_sha256=_TEXT,
            reading=st.sampled_from([*SPACES]),
            to_space=st.sampled_from([*SPACES]),
            config=_TEXT,
        ),
        st.builds(
            WriteScene,
            source=_TEXT,
            target=_TEXT,
            source_sha256=_TEXT,
            target_sha256=_TEXT,
            replaces_sha256=_TEXT,
            edits=_EDITS,
        ),
    )


@given(st.lists(_operations(), max_size=4), st.booleans())
def test_a_plan_survives_its_file(operations: list[Operation], in_place: bool) -> None:
    """What is written as JSON comes back equal, whatever is in the names."""
    plan = Plan(
        target=Path("/tea/tea.gltf"),
        root=Path("/tea"),
        route="tag",
        in_place=in_place,
        from_space="unknown",
        to_space="lin_ap1_scene",
        operations=tuple(operations),
        held=(Held(where="a", why="b", remedy="c"),),
        findings=(),
    )
    assert plan_from(json.loads(dumps(plan.as_document({"primecoat": "0"})))) == plan


_LINK = {"do": "link_image", "source": "a", "target": "b", "sha256": "c", "reading": "data"}
_WRITE = {
    "do": "write_scene",
    "source": "a",
    "target": "b",
    "source_sha256": "c",
    "target_sha256": "d",
    "replaces_sha256": "",
    "edits": [{"place": "/a", "before": "b", "after": "c"}],
}


@pytest.mark.parametrize(
    "document",
    [
        _LINK | {"do": "remove_everything"},
        {key: value for key, value in _LINK.items() if key != "do"},
        {key: value for key, value in _LINK.items() if key != "sha256"},
        _LINK | {"more": "x"},
        _LINK | {"edits": [{"place": "/a", "before": "b", "after": "c"}], "do": "rename"},
        _LINK | {"target": 7},
        _LINK | {"target": None},
        _LINK | {"target": ["b"]},
        _WRITE | {"edits": [{"place": "/a"}]},
        _WRITE | {"edits": [{"place": 1, "before": 2, "after": 3}]},
        _WRITE | {"edits": ["x"]},
        _WRITE | {"edits": 3},
        "link_image",
        ["link_image"],
        7,
        None,
    ],
)
def test_an_operation_that_is_not_understood_is_refused(document: Any) -> None:
    """An unknown kind, a missing, surplus or ill-typed field: one clear error, never another."""
    with pytest.raises(InputError, match="plan"):
        plan_from(
            {
                "document": "primecoat.plan/1", "target": "/t/a", "root": "/t", "route": "tag",
                "in_place": False, "from": "x", "to": "y", "operations": [document], "held": [],
            }
        )  # fmt: skip


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{}",
        '{"document": "primecoat.plan/2"}',
        '{"document": "primecoat.plan/1"}',
        '{"document": "primecoat.plan/1", "target": 1, "root": 2, "operations": 3}',
    ],
)
def test_a_file_that_is_no_plan_is_refused(tmp_path: Path, text: str) -> None:
    """Empty, other or newer documents are an input error."""
    (tmp_path / "plan.json").write_text(text)
    with pytest.raises(InputError):
        load_plan(tmp_path / "plan.json")


def test_every_operation_has_its_reverse() -> None:
    """What is created is removed while its original is there, what is replaced is put back."""
    link = from_document(_LINK)
    assert link.reverse() == RemoveCreated(target="b", sha256="c", source="a")
    rename = from_document(_LINK | {"do": "rename_image"})
    assert rename.reverse() == RenameImage(source="b", target="a", sha256="c", reading="data")
    assert isinstance(rename, RenameImage)
    assert rename.reverse().reverse() == rename
    extract = ExtractImage(scene="s", place="/images/0", target="b", sha256="c", reading="data")
    assert extract.reverse() == RemoveCreated(target="b", sha256="c", source="s")
    bake = BakeImage(
        source="a", target="b", source_sha256="c", reading="r", to_space="t", config="o"
    )
    assert bake.reverse() == RemoveCreated(target="b", sha256="", source="a")
    beside = from_document(_WRITE)
    assert beside.reverse() == RemoveCreated(target="b", sha256="d", source="a")
    over = from_document(_WRITE | {"replaces_sha256": "e"})
    assert over.reverse() == RestoreFile(target="b", sha256="d", before_sha256="e")
    edit = Edit(place="/a", before="b", after="c")
    assert edit.reverse().reverse() == edit
    assert (edit.reverse().before, edit.reverse().after) == ("c", "b")


@given(_operations())
def test_an_operation_is_its_document(operation: Operation) -> None:
    """Reading what was written gives the operation itself."""
    assert from_document(json.loads(json.dumps(as_document(operation)))) == operation


@pytest.mark.parametrize(
    ("path", "out"),
    [
        ("tex/bowl.png", False),
        ("..bowl.png", True),
        (".tex/bowl.png", True),
        ("tex/.bowl.png", True),
        ("tex/...png", True),
        ("", True),
        (".", True),
        ("..", True),
        ("../bowl.png", True),
        ("tex/../../bowl.png", True),
        ("tex/../bowl.png", True),
        ("/etc/passwd", True),
        (".primecoat/journal.jsonl", True),
        ("tex/.Primecoat/lock", True),
        ("bowl\x00.png", True),
        ("out/bowl.png", True),
        ("in/bowl.png", False),
    ],
)
def test_what_leads_out_of_a_root(tmp_path: Path, path: str, out: bool) -> None:
    """Dots, absolute names, what is hidden, and folders that are links out: all lead out."""
    root = tmp_path / "root"
    (root / "tex").mkdir(parents=True)
    (root / "out").symlink_to(tmp_path, target_is_directory=True)
    (root / "in").symlink_to("tex", target_is_directory=True)
    assert leads_out(root, path) is out


@pytest.mark.parametrize(
    ("operation", "another"),
    [
        (LinkImage(source="a.png", target="b.PNG", sha256="", reading="data"), False),
        (LinkImage(source="a.abc", target="b.abc", sha256="", reading="data"), False),
        (LinkImage(source="a.png", target="b.sh", sha256="", reading="data"), True),
        (RenameImage(source="Makefile", target="Justfile", sha256="", reading="data"), True),
        (ExtractImage(scene="a.glb", place="", target="b.jpg", sha256="", reading="data"), False),
        (ExtractImage(scene="a.glb", place="", target="b.glb", sha256="", reading="data"), True),
        *(
            (
                WriteScene(
                    source="a.usda",
                    target=target,
                    source_sha256="",
                    target_sha256="",
                    replaces_sha256="0",
                    edits=(),
                ),
                another,
            )
            for target, another in (("a.usda", False), ("a.primed.CSV", False), ("a.py", True))
        ),
    ],
)
def test_only_scenes_and_pictures_are_written(operation: Operation, another: bool) -> None:
    assert writes_another_kind(operation) is another
