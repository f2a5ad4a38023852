"""A list of corrections from anywhere keeps no one waiting."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from primecoat.errors import InputError
from primecoat.renders.corrections.entries import MOST_TOML, read_toml


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (".".join(["a"] * 100_000) + " = 1", "joined by dots"),
        (" . ".join(['"\\""'] * 100_000) + " = 1", "joined by dots"),
        ("[" + ".".join(["' '"] * 100_000) + "]", "joined by dots"),
        ("#" * (MOST_TOML + 1), "more than"),
        ('"\\' * 500_000, "not valid TOML"),
        ("[" * 100_000, "not valid TOML"),
        ("a = " + "1" * 100_000, "not valid TOML"),
        ("a = " + "[" * 100_000, "not valid TOML"),
        ('"a\\nb" = 1', "must hold corrections"),
        ("[[correction]]\n" + "a = 1\n" * 2, "not valid TOML"),
        ("[[correction]]\n" + "".join(f"a{n} = 1\n" for n in range(9999)), "It must be one of"),
    ],
    ids=lambda value: value[:12],
)
def test_slow_or_endless_toml_is_refused_at_once(text: str, words: str):
    """Python's reader takes 0.6 s for 8,000 names joined by dots, four times that for twice."""
    began = time.process_time()
    with pytest.raises(InputError, match=words) as error:
        read_toml(text, Path("old.toml"))
    assert time.process_time() - began < 2
    assert "\n" not in str(error.value)
    assert len(str(error.value)) < 1000


def test_sixteen_dots_are_not_too_many():
    """A file name may have some."""
    [entry] = read_toml(f"[[correction]]\nfile = '{'a.' * 15}cube'", Path("old.toml"))
    assert entry.file == "a." * 15 + "cube"
