from __future__ import annotations

from pathlib import Path

import pytest

from primecoat.demo import write_demo
from primecoat.demo.write import OF_TWIN, PICTURES
from primecoat.errors import UseError


def content(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_two_runs_give_the_same_bytes_and_a_begun_folder_is_completed(
    faulted: Path, tmp_path: Path
) -> None:
    begun = ["truth.json", "tea.csv", "textures/cup_color.png"]
    (tmp_path / "textures").mkdir()
    for name in begun:
        (tmp_path / name).write_bytes((faulted / name).read_bytes())
    before = {name: (tmp_path / name).stat().st_mtime_ns for name in begun}
    told: list[tuple[int, int]] = []
    written = write_demo(tmp_path, progress=lambda done, total, *_: told.append((done, total)))
    assert content(tmp_path) == content(faulted)
    pictures = len(list((faulted / "textures").iterdir()))
    assert told == [(done, pictures) for done in range(pictures + 1)]
    assert {path.relative_to(tmp_path).as_posix() for path in written} == set(content(faulted))
    assert before == {name: (tmp_path / name).stat().st_mtime_ns for name in begun}


def test_as_many_pictures_are_painted_as_progress_counts_with(faulted: Path, clean: Path) -> None:
    counts = [len(list((folder / "textures").iterdir())) for folder in (faulted, clean)]
    assert counts == [PICTURES, OF_TWIN]


def test_a_changed_file_is_never_written_over(clean: Path, tmp_path: Path) -> None:
    (tmp_path / "truth.json").write_bytes((clean / "truth.json").read_bytes())
    (tmp_path / "tea.csv").write_text("mine", encoding="utf-8")
    with pytest.raises(UseError, match=r"tea\.csv is not as the demo writes it"):
        write_demo(tmp_path, clean=True)
    assert sorted(content(tmp_path)) == ["tea.csv", "truth.json"]


def test_a_folder_with_something_else_is_refused(clean: Path, tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(UseError, match="not empty"):
        write_demo(tmp_path)
    with pytest.raises(UseError, match="not empty"):
        write_demo(clean, clean=False)
    with pytest.raises(UseError, match="is a file"):
        write_demo(tmp_path / "notes.txt")
    assert sorted(content(tmp_path)) == ["notes.txt"]
