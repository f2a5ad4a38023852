"""Lists of corrections that are refused: each in one line that is short."""

from __future__ import annotations

import contextlib
import os
import signal
from pathlib import Path

import pytest
from tests.fuzz.slow import SLOW_SECONDS

from primecoat.errors import InputError
from primecoat.renders.corrections.entries import MOST_TOML, _refuse_slow, read_csv, read_toml

CSV = {
    "correction,value\ngain,bright\n": "numbers with spaces between",
    "correction,value\npoints,0 0;1\n": "two or more",
    "correction,value\npoints,0 0;x 1\n": "numbers with spaces between",
    "correction,value,clamp\ngain,2,perhaps\n": "yes or no",
    "correction,value\n,\n": "holds no correction",
    "gain\n2\n": "lacks the columns",
    f"correction,value\ngain,{'1' * 200_000}\n": "field",
}

TOML = {
    '[[correction]]\ngain = "2"\n': "one number or three numbers",
    "[[correction]]\ngain = 2\nspace = 7\n": "words in quotes",
    "[[correction]]\ngain = 2\nclamp = 1\n": "true or false",
    '[[correction]]\ngain = 2\nbeyond = "hold"\n': "at points only",
    "[[correction]]\nfile = 2\n": "a file name",
    "[[correction]]\nsaturation = [1, 1, 1]\n": "one number",
    "[[correction]]\npower = 0\n": "above 0",
    f"[[correction]]\ngain = 1{'0' * 310}\n": "one number or three numbers",
    "[[correction]]\ngain = nan\n": "one number or three numbers",
    "[[correction]]\ngain = [1, 2]\n": "one number or three numbers",
    "[[correction]]\ngain = 1\nexposure = 1\n": "found gain, exposure",
    "[[correction]]\npoints = [[0, 0], [1, 1]]\n": "no word on what the curve does",
    '[[correction]]\npoints = [[0, 0], [1, 1]]\nbeyond = "?"\n': "beyond '?'",
    f"[[correction]]\ngain = [{'1, ' * 90_000}]\n": "...",
    "gain = 1\n": "gain besides",
    "": "none was found",
    ".".join(["a"] * 33) + " = 1": "more than 16 words",
    " . ".join(['"\\""', "'.'"] * 17) + " = 1": "more than 16 words",
    "#" * (MOST_TOML + 1): "characters, more than",
}


@pytest.mark.parametrize(
    ("read", "text", "words"),
    [
        *((read_csv, text, words) for text, words in CSV.items()),
        *((read_toml, text, words) for text, words in TOML.items()),
    ],
    ids=lambda value: str(value)[:40] if isinstance(value, str) else "",
)
def test_one_short_line(read, text: str, words: str) -> None:
    with pytest.raises(InputError) as refused:
        read(text, Path("old"))
    said = str(refused.value)
    assert words in said
    assert "\n" not in said
    assert len(said) < 600


def test_names_of_files_with_many_dots_are_read() -> None:
    """The bound is on keys that a list cannot have, and not on words in quotes or numbers."""
    name = ".".join(["look"] * 12) + ".cc"
    (entry,) = read_toml(f'[[correction]]\nfile = "{name}"\nclamp = false\n', Path("old"))
    assert entry.file == name
    points = ", ".join(f"[{n}.5, {n}.25]" for n in range(2000))
    (large,) = read_toml("[[correction]]\ngain = 100000000000000000000", Path("old"))
    assert large.name.startswith("gain 1")
    (curve,) = read_toml(f'[[correction]]\npoints = [{points}]\nbeyond = "hold"', Path("old"))
    assert curve.name == "curve of 2000 points"


DOTTED = ".".join(["b"] * 40)
QUOTES = ('"', "'", '"""', "'''")


@pytest.mark.parametrize("quote", QUOTES)
def test_dots_in_quotes_and_remarks_are_not_counted(quote: str) -> None:
    """TOML 1.0.0, Quoted Keys and Strings: what stands in quotes is one word, whatever it holds."""
    text = f"# {DOTTED}\n[[correction]]\nfile = {quote}{DOTTED}{quote} # {DOTTED}\nclamp = false"
    (entry,) = read_toml(text, Path("old"))
    assert entry.file == DOTTED
    if len(quote) == 1:
        with pytest.raises(InputError, match=rf"{DOTTED[:20]}.* besides was found"):
            read_toml(f"{quote}{DOTTED}{quote} = 1", Path("old"))


@pytest.mark.parametrize("before", ['a = "\\""', 'a = """"""', "a = ''''''", 'a = """\\""""'])
def test_dots_after_quotes_are_counted(before: str) -> None:
    """What closes a text is told from what is escaped in it."""
    with pytest.raises(InputError, match="more than 16 words"):
        read_toml(f"{before}\n{DOTTED} = 1", Path("old"))


@pytest.mark.skipif(os.name == "nt", reason="needs an alarm")
@pytest.mark.parametrize(
    "piece",
    [*QUOTES, '\\"""', '"\\', "\\", "'\n", "'''a", "a.", '"a".', ".", "-", "a. ", "#", "a.a\n"],
)
def test_the_bounds_take_a_time_that_grows_with_the_text(piece: str) -> None:
    """The longest text that is read, of the worst pieces; the alarm counts CPU time."""

    def too_slow(*_: object) -> None:
        raise AssertionError(f"more than {SLOW_SECONDS} s of CPU time")

    pieces = piece * (MOST_TOML // len(piece))
    before = signal.signal(signal.SIGPROF, too_slow)
    signal.setitimer(signal.ITIMER_PROF, SLOW_SECONDS)
    try:
        with contextlib.suppress(InputError):
            _refuse_slow(pieces, Path("old"))
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
