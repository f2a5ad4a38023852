"""Each limit can be set; what is beyond it is told in one line that says how."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tests.cli.terminal import Terminal
from tests.hostile.bombs import picture
from tests.hostile.looks import CLF, OF_LUT
from tests.hostile.test_hostile import messages
from tests.scenes import builders as b

from primecoat.errors import UseError
from primecoat.limits import DECODED_BYTES, LOOK_BYTES, PIXELS, SCENE_BYTES, Limit


@pytest.fixture
def terminal(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Terminal:
    monkeypatch.delenv("OCIO", raising=False)
    return Terminal(capsys)


@pytest.mark.parametrize(
    ("limit", "low", "code"), [(PIXELS, 255, 1), (DECODED_BYTES, 100, 1), (SCENE_BYTES, 20, 2)]
)
def test_a_lower_limit(
    limit: Limit,
    low: int,
    code: int,
    tmp_path: Path,
    terminal: Terminal,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A sound picture of 16 x 16 is beyond it; the value that the line names lets it pass."""
    scene = picture(b.png())(tmp_path)
    assert terminal("survey", scene).code == 0
    (tmp_path / ".primecoat" / "measures.jsonl").unlink()
    monkeypatch.setenv(limit.variable, str(low))
    outcome = terminal("survey", scene, "--json")
    assert outcome.code == code
    (told,) = [m for m in messages(outcome) if limit.variable in m]
    needed = re.findall(rf"{limit.variable}=(\d+)", told)[0]
    monkeypatch.setenv(limit.variable, needed)
    assert terminal("survey", scene).code == 0
    monkeypatch.setenv(limit.variable, str(int(needed) - 1))
    (tmp_path / ".primecoat" / "measures.jsonl").unlink(missing_ok=True)
    assert terminal("survey", scene).code == code


def test_a_lower_limit_of_looks(
    tmp_path: Path, terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    look = tmp_path / "a.clf"
    look.write_text(CLF % ("", "1"), encoding="utf-8")
    command = [str(look) if word is None else word for word in OF_LUT]
    assert terminal(*command).code in (0, 1)
    monkeypatch.setenv(LOOK_BYTES.variable, "10")
    outcome = terminal(*command)
    assert (outcome.code, LOOK_BYTES.variable in outcome.line) == (2, True)


@pytest.mark.parametrize("text", ["0", "-1", "1e9", "many", "\u0661", " 5"])
def test_no_number(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(PIXELS.variable, text)
    with pytest.raises(UseError, match=PIXELS.variable):
        _ = PIXELS.value


def test_the_usual_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    """As the documentation says them."""
    limits = (PIXELS, DECODED_BYTES, SCENE_BYTES, LOOK_BYTES)
    for limit in limits:
        monkeypatch.delenv(limit.variable, raising=False)
    page = (Path(__file__).parents[2] / "docs" / "reference" / "safety.md").read_text("utf-8")
    for limit in limits:
        assert f"| `{limit.variable}` | {limit.value:,} |" in page
