"""Lists of corrections that are refused: each in one line that is short."""

from __future__ import annotations

from pathlib import Path

import pytest

from primecoat.errors import InputError
from primecoat.renders.corrections.entries import MOST_TOML, read_csv, read_toml

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
    (curve,) = read_toml(f'[[correction]]\npoints = [{points}]\nbeyond = "hold"', Path("old"))
    assert curve.name == "curve of 2000 points"
