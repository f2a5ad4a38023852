"""The work for many pictures grows with their number and no faster: calls are counted, not time."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.scenes import builders as b

from primecoat.desk.held import build_desk
from primecoat.desk.session import Asked, Session
from primecoat.inventory import measure_all
from primecoat.reading import decisions, judge
from primecoat.workflow import listing

MANY = 60


def counting(
    monkeypatch: pytest.MonkeyPatch, module: object, name: str, counts: dict[str, int]
) -> None:
    """Count the calls of a function of a module."""
    work: Callable[..., object] = getattr(module, name)
    counts[name] = 0

    def counted(*args: object, **kwargs: object) -> object:
        counts[name] += 1
        return work(*args, **kwargs)

    monkeypatch.setattr(module, name, counted)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Many names of one file, and a second file."""
    place = tmp_path_factory.mktemp("many")
    first = place / "glaze_00_color.png"
    first.write_bytes(b.png(3))
    for number in range(1, MANY - 1):
        os.link(first, place / f"glaze_{number:02}_color.png")
    (place / "rim.png").write_bytes(b.png(4))
    return place


@pytest.fixture
def session(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Session:
    """A desk on them, with no decision."""
    monkeypatch.delenv("OCIO", raising=False)
    decisions.decisions_file(folder).unlink(missing_ok=True)
    asked = Asked(target=folder)
    return build_desk(asked, asked.survey()).session


def test_file_with_many_names_is_measured_once(folder: Path, monkeypatch: pytest.MonkeyPatch):
    """Each name has the measure all the same."""
    counts: dict[str, int] = {}
    counting(monkeypatch, measure_all, "measure_file", counts)
    found = measure_all.measure_files(sorted(folder.glob("*.png")), folder / "elsewhere")
    assert counts["measure_file"] == 2
    assert len(found) == MANY
    assert len({measure.sha256 for measure in found.values()}) == 2


def test_problem_is_told_with_each_name(tmp_path: Path):
    """Two names of one damaged file: each finding names its own."""
    (tmp_path / "a.png").write_bytes(b"no picture")
    os.link(tmp_path / "a.png", tmp_path / "b.png")
    found = measure_all.measure_files([tmp_path / "a.png", tmp_path / "b.png"], tmp_path)
    assert all(path.name in measure.problem for path, measure in found.items())


def test_decision_judges_only_what_it_is_about(session: Session, monkeypatch: pytest.MonkeyPatch):
    """Neither is another picture judged, heard or laid out again, nor one decided earlier."""
    rows = session.state.rows
    ids = [row.id for row in rows]
    session.decide(1, ids[: MANY // 2], "srgb_rec709_scene", "seen")
    counts: dict[str, int] = {}
    for module, name in (
        (judge, "_read_image"),
        (judge, "_heard"),
        (judge, "_sets"),
        (listing, "_row"),
        (decisions, "_tagged"),
    ):
        counting(monkeypatch, module, name, counts)
    state, *_ = session.decide(2, ids[-2:], "data", "")
    assert counts["_read_image"] == 2
    assert counts["_heard"] == counts["_sets"] == 0
    assert counts["_row"] <= 2 + 2  # its findings may change those beside it
    assert counts["_tagged"] <= 2 * (MANY // 2 + 2)  # once a decision and reader, not a picture
    again = build_desk(session.asked, session.asked.survey()).session.state
    assert state.survey.readings.images == again.survey.readings.images
    assert state.rows == again.rows


def test_taking_back_many_looks_words_up(session: Session, monkeypatch: pytest.MonkeyPatch):
    """Words on many are taken back by ``unknown`` without asking each whether it covers each."""
    ids = [row.id for row in session.state.rows]
    session.decide(1, ids, "data", "")
    counts: dict[str, int] = {}
    counting(monkeypatch, decisions, "_tagged", counts)
    session.decide(2, ids, "unknown", "")
    assert counts["_tagged"] <= MANY
    assert all(row.decided is None for row in session.state.rows)
