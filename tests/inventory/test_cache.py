"""The cache of measures: believed where it may be, never where it matters."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from tests.scenes import builders as b

from primecoat.files import sha256_of
from primecoat.inventory import take_inventory
from primecoat.inventory.cache import CACHE_VERSION, MeasureCache
from primecoat.inventory.measure import measure_file
from primecoat.inventory.model import Measure

DARK = b.png_of(b.colour_pixels() // 4)
LIGHT = b.png_of(b.colour_pixels())


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    path = tmp_path / "cup.png"
    path.write_bytes(LIGHT)
    return path


def remember(path: Path) -> Measure:
    """Measure a file and keep that, as a survey does."""
    cache, measure = MeasureCache(path.parent), measure_file(path)
    cache.put(path, measure)
    cache.save()
    return measure


def lines(folder: Path) -> list[str]:
    return (folder / ".primecoat" / "measures.jsonl").read_text().splitlines()


def test_everything_comes_back(picture: Path):
    """A kept measure comes back equal in every number, through the file."""
    measure = remember(picture)
    assert measure.statistics is not None
    assert MeasureCache(picture.parent).get(picture) == measure


def test_first_time(picture: Path):
    """Nothing is known of a file that was never measured."""
    assert MeasureCache(picture.parent).get(picture) is None


def test_unchanged_file_is_not_read_again(picture: Path):
    """Size, time and inode stand in for the content: a change that leaves all three is not seen."""
    measure = remember(picture)
    facts = picture.stat()
    data = bytearray(picture.read_bytes())
    data[-20] ^= 1
    with picture.open("r+b") as stream:
        stream.write(data)
    os.utime(picture, ns=(facts.st_atime_ns, facts.st_mtime_ns))
    assert (picture.stat().st_size, picture.stat().st_ino) == (facts.st_size, facts.st_ino)
    assert MeasureCache(picture.parent).get(picture) == measure
    assert MeasureCache(picture.parent, verify=True).get(picture) is None


@pytest.mark.parametrize("what", ["size", "time", "inode"])
def test_any_change_of_facts_is_seen(what: str, picture: Path):
    """A new size, time or inode makes the content be looked at, and other content is found."""
    remember(picture)
    facts = picture.stat()
    if what == "inode":
        other = picture.with_name("other.png")
        other.write_bytes(DARK.ljust(len(LIGHT), b"\0")[: len(LIGHT)])
        os.utime(other, ns=(facts.st_atime_ns, facts.st_mtime_ns))
        other.replace(picture)
    else:
        data = DARK if what == "size" else LIGHT[:-1] + b"\0"
        picture.write_bytes(data)
        time = facts.st_mtime_ns + (1_000_000 if what == "time" else 0)
        os.utime(picture, ns=(facts.st_atime_ns, time))
    assert MeasureCache(picture.parent).get(picture) is None


def test_same_content_again(picture: Path):
    """A touched file whose content is the same is known by its hash, and then by its new time."""
    measure = remember(picture)
    os.utime(picture, ns=(1, 1))
    cache = MeasureCache(picture.parent)
    assert cache.get(picture) == measure
    cache.save()
    assert json.loads(lines(picture.parent)[0])[2][1] == 1
    assert len(lines(picture.parent)) == 1


def test_same_content_under_another_name(picture: Path):
    """A copy is known by its hash without being decoded."""
    measure = remember(picture)
    copy = picture.with_name("copy.png")
    copy.write_bytes(LIGHT)
    assert MeasureCache(picture.parent).get(copy) == measure


def test_verify_knows_unchanged_content(picture: Path):
    """Verifying believes the hash only, and takes the measure if that is the same."""
    measure = remember(picture)
    assert MeasureCache(picture.parent, verify=True).get(picture) == measure


def test_missing_file(picture: Path):
    """A file that has gone is not known any more."""
    remember(picture)
    picture.unlink()
    assert MeasureCache(picture.parent).get(picture) is None
    assert MeasureCache(picture.parent, verify=True).get(picture) is None


GOOD_HEAD = f"[{CACHE_VERSION}, "


@pytest.mark.parametrize(
    "line",
    [
        "",
        "hello",
        "[]",
        "[1, 2, 3, 4]",
        '"abcd"',
        "null",
        GOOD_HEAD + '"k", [1, 2, 3], {}]',
        GOOD_HEAD + '["k"], [1, 2, 3], {"sha256": "a"}]',
        GOOD_HEAD + '"k", [1, 2, 3], "text"]',
        GOOD_HEAD + '"k", [1, 2, 3], {"sha256": "a", "header": 3, "statistics": 4, "problem": ""}]',
        GOOD_HEAD + '"k", [1, 2, 3], {"sha256": [], "header": null, "statistics": null, '
        '"problem": ""}]',
    ],
)
def test_damaged_lines(line: str, picture: Path):
    """A damaged line is passed over; the sound lines around it still count."""
    measure = remember(picture)
    cache = picture.parent / ".primecoat" / "measures.jsonl"
    cache.write_text(f"{line}\n{cache.read_text()}{line}\n")
    assert MeasureCache(picture.parent).get(picture) == measure


def test_line_cut_short(picture: Path):
    """A cache cut anywhere never gives a wrong measure; the picture is measured again."""
    measure = remember(picture)
    cache = picture.parent / ".primecoat" / "measures.jsonl"
    whole = cache.read_bytes()
    for length in range(0, len(whole) - 1, 50):
        cache.write_bytes(whole[:length])
        assert MeasureCache(picture.parent).get(picture) is None
    cache.write_bytes(b"\xff\xfe" + whole)
    assert MeasureCache(picture.parent).get(picture) is None
    (image,) = take_inventory(picture.parent).images
    assert image.measures == (measure,)


def test_older_version(picture: Path):
    """Lines of another version of the measures are not used."""
    remember(picture)
    cache = picture.parent / ".primecoat" / "measures.jsonl"
    text = cache.read_text()
    cache.write_text(text.replace(GOOD_HEAD.rstrip(), f"[{CACHE_VERSION + 1},", 1))
    assert cache.read_text() != text
    assert MeasureCache(picture.parent).get(picture) is None


def test_folder_that_takes_no_cache(tmp_path: Path, picture: Path):
    """Where no state folder can be made the survey works, and leaves no trace.

    A file stands where the state folder would be: that stops root too.
    """
    (tmp_path / ".primecoat").write_text("in the way")
    before = sorted(p.name for p in tmp_path.iterdir())
    (image,) = take_inventory(tmp_path).images
    assert image.measures == (measure_file(picture),)
    assert sorted(p.name for p in tmp_path.iterdir()) == before


def test_survey_uses_the_cache(picture: Path):
    """A second survey takes what the first kept: a changed cache shows."""
    take_inventory(picture.parent)
    cache = picture.parent / ".primecoat" / "measures.jsonl"
    cache.write_text(cache.read_text().replace('"width":16', '"width":99'))
    (known,) = take_inventory(picture.parent).images
    assert known.header is not None
    assert known.header.width == 99


def test_verifying_survey_sees_forged_dates(picture: Path):
    """With ``verify`` a picture is measured anew though size, time and inode were forged."""
    take_inventory(picture.parent)
    facts = picture.stat()
    dark = b.png_of(255 - b.colour_pixels())
    longer = max(len(dark), facts.st_size)
    with picture.open("r+b") as stream:
        stream.write(dark.ljust(longer, b"\0"))
    if picture.stat().st_size != facts.st_size:
        os.truncate(picture, facts.st_size)
    os.utime(picture, ns=(facts.st_atime_ns, facts.st_mtime_ns))
    forged = picture.stat()
    assert (forged.st_size, forged.st_mtime_ns, forged.st_ino) == (
        facts.st_size,
        facts.st_mtime_ns,
        facts.st_ino,
    )
    (fooled,) = take_inventory(picture.parent).images
    (verified,) = take_inventory(picture.parent, verify=True).images
    assert fooled.measures[0].sha256 != sha256_of(picture)
    assert verified.measures[0].sha256 == sha256_of(picture)


def test_failure_to_read_is_kept_by_content(tmp_path: Path):
    """That a file is no picture is kept too, until its content changes."""
    path = tmp_path / "cup.png"
    path.write_bytes(b"no picture")
    assert "Cannot read" in remember(path).problem
    assert MeasureCache(tmp_path).get(path) == measure_file(path)
    path.write_bytes(LIGHT)
    assert MeasureCache(tmp_path).get(path) is None
