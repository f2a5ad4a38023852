"""What a house file may say, and how each fault in it is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from primecoat.errors import InputError
from primecoat.house import House, read_house

WHOLE = """\
from = "lin_rec709_scene"
to = "ACEScg"
config = "studio-config-v4.0.0_aces-v2.0_ocio-v2.5"
roots = [".", "shared"]

[tokens]
TexCol = "srgb_texture"

[slots]
"*_kilnglow" = "emissive"
"*_Nrm" = "normal"

[policy]
route = "declare"
closes_gate = ["PC310"]
"""


def written(folder: Path, text: str) -> Path:
    path = folder / "primecoat.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_everything_that_can_be_said(tmp_path: Path):
    """Aliases become Color Interop IDs, folders absolute; tokens and patterns ignore case."""
    (tmp_path / "shared").mkdir()
    file = written(tmp_path, WHOLE)
    assert read_house(file, named=False) == House(
        file=file,
        from_space="lin_rec709_scene",
        to_space="lin_ap1_scene",
        config="studio-config-v4.0.0_aces-v2.0_ocio-v2.5",
        roots=(tmp_path, tmp_path / "shared"),
        tokens=(("texcol", "srgb_rec709_scene"),),
        slots=(("*_kilnglow", "emissive"), ("*_nrm", "normal")),
        route="declare",
        closes_gate=("PC310",),
    )


def test_an_empty_file_says_nothing(tmp_path: Path):
    file = written(tmp_path, "# later\n")
    assert read_house(file, named=False) == House(file=file)


@pytest.mark.parametrize(
    ("text", "line", "found", "remedy"),
    [
        ('\ntokenz = 1\n', 2, "there is no key 'tokenz' at the top", "Did you mean 'tokens'?"),
        ('[policy]\n\nroutes = "tag"', 3, "no key 'routes' in [policy]", "mean 'route'?"),
        ("moon = 1", 1, "there is no key 'moon'", "Use one of: from, to, config"),
        ("to = 7", 1, "'to' is a number (7), where a text belongs", "Name working space"),
        ('to = "lin_ap2_scene"', 1, "'lin_ap2_scene' is no working space", "'lin_ap"),
        ('to = "srgb_rec709_scene"', 1, "is no working space", "Did you mean 'lin_rec709_scene'?"),
        ('roots = "."', 1, "'roots' is a text (.), where a list belongs", 'roots = ["."]'),
        ("roots = [1979-05-27]", 1, "'roots' is a date or time", "Give a list"),
        ('roots = ["gone"]', 1, "there is no folder", "relative to this file"),
        ('config = "gone.ocio"', 1, "there is no config file", "relative to this one"),
        ("slots = true", 1, "'slots' is true or false (True), where a table belongs", "[slots]"),
        ('[slots]\n"*_n" = "normals"', 2, "'normals' is no slot", "Did you mean 'normal'?"),
        ('[slots]\n"*" = "normal"', 2, "'*' is no pattern", '"*_nrm"'),
        ('[slots]\n"tex/*_n" = "normal"', 2, "is no pattern", "without folders"),
        ('[tokens]\n"a b" = "data"', 2, "'a b' is no token", "letters and digits"),
        ('[tokens]\ncol = "sRGB"', 2, "'sRGB' is no reading", "srgb"),
        ('[tokens]\nacescg = "data"', 2, "everybody's name for lin_ap1_scene", "another word"),
        ('[tokens]\nA = "data"\na = "acescg"', 3, "'a' stands here twice", "Keep one"),
        ('[policy]\ncloses_gate = ["PC31"]', 2, "'PC31' is no code of a finding", "Did you mean"),
        ('policy.route = "paint"', 1, "'paint' is no route", "Use one of: tag, declare, bake."),
    ],
)  # fmt: skip
def test_a_fault_is_refused_with_line_and_cure(
    text: str, line: int, found: str, remedy: str, tmp_path: Path
):
    file = written(tmp_path, text)
    with pytest.raises(InputError) as refused:
        read_house(file, named=False)
    assert refused.value.message.startswith(f"{file}, line {line}: ")
    assert found in refused.value.message
    assert remedy in refused.value.remedy


@pytest.mark.parametrize("text", ["to = ", "a = " + "[" * 5000, "x = 1\nx = 2"])
def test_what_is_no_toml_is_refused_in_one_line(text: str, tmp_path: Path):
    with pytest.raises(InputError, match="is not valid TOML"):
        read_house(written(tmp_path, text), named=True)


def test_a_file_that_was_only_found_speaks_for_its_own_folder(tmp_path: Path):
    """Its roots and config lie in its folder, links followed; a named one may reach further."""
    house = tmp_path / "house"
    house.mkdir()
    (house / "out").symlink_to(tmp_path)
    (tmp_path / "own.ocio").write_text("")
    for text in ('roots = [".."]', 'roots = ["out"]', 'config = "../own.ocio"'):
        file = written(house, text)
        with pytest.raises(InputError, match=r"line 1: .* lies outside .* If you trust it") as no:
            read_house(file, named=False)
        assert "--house none" in no.value.remedy
        assert read_house(file, named=True).applied
