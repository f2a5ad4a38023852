"""Several processes that measure for one cache at once: nothing that was measured is lost."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from tests.apply import kiln

from primecoat import jobs, workflow
from primecoat.cli.main import run as command
from primecoat.inventory.cache import MeasureCache
from primecoat.inventory.measure import measure_file

_SHARE = (
    "import sys\nfrom primecoat.cli.main import run\n"
    "if __name__ == '__main__':\n    sys.exit(run(sys.argv[1:]))"
)


def state(folder: Path) -> list[str]:
    return sorted(path.name for path in (folder / ".primecoat").iterdir())


def survey_json(target: Path, capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    command(["survey", str(target), "--json", "--workers", "1"])
    return dict(json.loads(capsys.readouterr().out))


def test_shares_at_once_then_a_whole_survey(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four processes measure a share each; then nothing is left to measure, and all is the same."""
    scene = kiln.tableware(tmp_path, 9, 64)
    unshared = survey_json(scene, capsys)
    (tmp_path / ".primecoat" / "measures.jsonl").unlink()
    children = [
        subprocess.Popen(
            [sys.executable, "-c", _SHARE, "survey", scene, "--shard", f"{number}/4", "--json"],
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": str(kiln.ROOT / "src")},
        )
        for number in range(1, 5)
    ]
    parts = [json.loads(child.communicate(timeout=60)[0]) for child in children]
    assert [child.returncode for child in children] == [0] * 4
    assert [part["shard"] for part in parts] == ["1/4", "2/4", "3/4", "4/4"]
    paths = [image["path"] for part in parts for image in part["images"]]
    assert sorted(paths) == [f"dish{number}.png" for number in range(9)]
    assert len(state(tmp_path)) == 4
    monkeypatch.setattr("primecoat.inventory.measure_all.measure_file", None)
    assert survey_json(scene, capsys) == unshared
    assert state(tmp_path) == ["measures.jsonl"]


def test_a_share_in_words_and_one_that_is_none(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A share says what it measured and what comes next; a wrong one is refused with the form."""
    scene = kiln.tableware(tmp_path, 3)
    (tmp_path / "dish2.png").write_bytes(b"no picture")
    assert command(["survey", str(scene), "--shard", "1/2"]) == 0
    said = capsys.readouterr().out
    assert "dish0.png: measured" in said
    assert "dish2.png: Cannot read" in said
    assert "2 pictures measured, share 1 of 2." in said
    assert command(["survey", str(scene), "--shard", "3/2"]) == 2
    assert "i/n, such as 2/8" in capsys.readouterr().err


def test_many_writers_and_those_that_put_together(tmp_path: Path) -> None:
    """Threads save parts and wholes by turns; in the end every measure is found."""
    kiln.tableware(tmp_path, 12)
    files = sorted(tmp_path.glob("dish*.png"))
    measures = {file: measure_file(file) for file in files}

    def work(number: int) -> None:
        for turn, file in enumerate(files[number::4]):
            cache = MeasureCache(tmp_path)
            cache.put(file, measures[file])
            cache.save(only_a_share=(number + turn) % 2 == 0)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    cache = MeasureCache(tmp_path)
    assert {file: cache.get(file) for file in files} == measures
    cache.save()
    assert state(tmp_path) == ["measures.jsonl"]
    again = MeasureCache(tmp_path)
    assert {file: again.get(file) for file in files} == measures


def test_while_another_puts_together(tmp_path: Path) -> None:
    """Who finds the cache's lock held adds a file of its own, and apply's lock is not touched."""
    scene = kiln.tableware(tmp_path, 2)
    (tmp_path / ".primecoat").mkdir()
    lock = tmp_path / ".primecoat" / "measures.lock"
    holder = {"pid": os.getppid(), "host": os.uname().nodename, "verb": "survey", "key": ""}
    lock.write_text(json.dumps(holder))
    workflow.survey(scene, workers=1)
    assert len(list((tmp_path / ".primecoat").glob("measures-*.jsonl"))) == 1
    assert lock.exists()
    lock.unlink()
    workflow.survey(scene, workers=1)
    assert state(tmp_path) == ["measures.jsonl"]


def test_an_interrupted_survey_keeps_what_it_measured(tmp_path: Path) -> None:
    """What was measured before an interrupt need not be measured again."""
    scene = kiln.tableware(tmp_path, 3)

    def stop(done: int, *_: int) -> None:
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        workflow.survey(scene, workers=1, progress=stop)
    seen: list[int] = []
    workflow.survey(scene, workers=1, progress=lambda done, total, *_: seen.append(total))
    assert seen == [1]


def test_two_workers_and_shares_by_the_api(tmp_path: Path) -> None:
    """The functions behind the verb take the same places and shares."""
    scene = kiln.tableware(tmp_path, 3)
    found = workflow.measure_share(scene, jobs.Shard(2, 2), workers=2)
    assert list(found) == ["dish1.png"]
    assert found["dish1.png"] == measure_file(tmp_path / "dish1.png")
