"""What configs read names as: ``python -m evaluation.config_names [--count N] [--json]``.

Generated names, most with a token in a legal place, some with look-alike words, a token in the
wrong place, or a token in a folder's name, are read by the file rules of the config that Primecoat
writes and of every built-in config, and compared with what the name says: the token's reading, or
nothing.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import PyOpenColorIO as ocio

from primecoat.colour.ids import DATA, READINGS, UNKNOWN
from primecoat.colour.ocio import load_config, space_in_config
from primecoat.config.plan_content import plan_content
from primecoat.config.write import write_config
from primecoat.errors import UseError
from primecoat.reading.names import TOKENS, split_name

KIND = "primecoat.evaluation_config_names/1"
SEED = 7
WORDS = tuple(
    line
    for line in Path(__file__).with_name("look_alike_words.txt").read_text("utf-8").splitlines()
    if not line.startswith("#")
)
OURS = "written by Primecoat"

_SUBJECTS = (
    "bowl",
    "teaPot",
    "saucer glaze",
    "tray-rim",
    "tasse_à_thé",
    "茶碗",
    "cup.v002",
    "1001",
)
_PLACES = ("", ".1001", ".<UDIM>", "_<uvtile>", "_u1_v1", "-U12_V3", ".####", ".%04d", "_0001",
           ".1001.0012", ".12", "_12345678", ".%4d", "_v002", " 1001")  # fmt: skip
_ENDINGS = (".png", ".EXR", ".tif", ".tx", ".hdr", ".jpg", ".raw", ".data", "", ".a b", ".é",
            ".bak_raw", ".mp4")  # fmt: skip
_FOLDERS = (
    "", "textures/", "/jobs/pottery/tea set/", "/jobs/raw/", "x_data.d/", "c:\\tea\\srgb_texture\\",
    "D:\\jobs\\tea_raw.1001\\", "\\\\server\\share\\drawings\\", "/jobs/thé_acescg/",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedPath:
    """A path, and what its file's own name says."""

    path: str
    reading: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ConfigCount:
    """How a config reads names.

    Parameters
    ----------
    token_right, token_wrong
        Names with a token, read as it says and otherwise.
    data_as_colour, colour_as_data
        Of the wrong ones: numbers that are changed though they are data, and the other way round.
    none_right, none_wrong
        Names without a token, read as nothing known and as some colour space.
    most
        The commonest misreadings: what the name says, what the config reads, how many.
    """

    config: str
    token_right: int
    token_wrong: int
    data_as_colour: int
    colour_as_data: int
    none_right: int
    none_wrong: int
    most: tuple[tuple[str, str, int], ...]


def generated_paths(count: int, seed: int = SEED) -> tuple[NamedPath, ...]:
    """Return paths as people write them, a third of them without a token where one counts."""
    rng = random.Random(seed)
    return tuple(_path(rng) for _ in range(count))


def _path(rng: random.Random) -> NamedPath:
    tokens = [rng.choice(TOKENS) for _ in range(2)]
    parts = [rng.choice(_SUBJECTS)]
    parts += rng.sample(WORDS, rng.randint(0, 2))
    kind = rng.random()
    if kind < 0.1:
        parts.append(tokens[1])  # a token that another one overrules, or a word follows
    if kind < 0.05:
        parts.append(rng.choice(WORDS))
    elif kind < 0.75:
        parts.append(tokens[0])
    elif kind < 0.8:
        parts[-1] += tokens[0]  # no delimiter
    name = parts[0]
    for part in parts[1:]:
        name += rng.choice("___.- ") + part
    case: Callable[[str], str] = rng.choice((str, str, str.upper, str.title, str.swapcase))
    place = rng.choice(_PLACES) if rng.random() < 0.6 else ""
    name = case(name) + case(place).replace("%04D", rng.choice(("%04d", "%04D")))
    name += rng.choice(_ENDINGS)
    return NamedPath(
        path=rng.choice(_FOLDERS) + name, reading=split_name(name).token_reading or UNKNOWN
    )


def count_readings(
    title: str, config: ocio.Config, names: dict[str, str], paths: Sequence[NamedPath]
) -> ConfigCount:
    """Compare what a config's file rules read with what names say.

    Parameters
    ----------
    names
        The config's spaces, each with its reading; a space that is not in it is named itself.
    """
    pairs = Counter((path.reading, _read(config, path.path, names)) for path in paths)
    wrong = Counter({pair: n for pair, n in pairs.items() if pair[0] != pair[1]})
    token = Counter({pair: n for pair, n in pairs.items() if pair[0] != UNKNOWN})
    none = pairs - token
    return ConfigCount(
        config=title,
        token_right=sum(n for (said, read), n in token.items() if said == read),
        token_wrong=sum(n for (said, read), n in token.items() if said != read),
        data_as_colour=sum(n for (said, _), n in wrong.items() if said == DATA),
        colour_as_data=sum(
            n for (said, read), n in wrong.items() if said not in (DATA, UNKNOWN) and read == DATA
        ),
        none_right=none[UNKNOWN, UNKNOWN],
        none_wrong=none.total() - none[UNKNOWN, UNKNOWN],
        most=tuple((said, read, n) for (said, read), n in wrong.most_common(3)),
    )


def _read(config: ocio.Config, path: str, names: dict[str, str]) -> str:
    space = str(config.getColorSpaceFromFilepath(path)[0])
    found = config.getColorSpace(space)
    name = space if found is None else str(found.getName())
    return names.get(name, name)


def names_of(config: str) -> dict[str, str]:
    """Return the spaces of a config for which the vocabulary has a reading."""
    found = {UNKNOWN: UNKNOWN}
    for reading in READINGS:
        try:
            found[space_in_config(reading, config)] = reading
        except UseError:
            continue
    return found


def evaluate(count: int, seed: int = SEED) -> tuple[ConfigCount, ...]:
    """Return the counts of the config that Primecoat writes, then of every built-in config."""
    paths = generated_paths(count, seed)
    counts = []
    with TemporaryDirectory(prefix="primecoat-evaluation-") as folder:
        written = str(write_config(plan_content(), Path(folder, "tea.ocio")).path)
        counts.append(count_readings(OURS, load_config(written), names_of(written), paths))
    for name, *_ in ocio.BuiltinConfigRegistry().getBuiltinConfigs():
        counts.append(count_readings(name, load_config(name), names_of(name), paths))
    return tuple(counts)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the evaluation and print its table."""
    parser = argparse.ArgumentParser(prog="evaluation.config_names")
    parser.add_argument("--count", type=int, default=10_000, help="how many names")
    parser.add_argument("--seed", type=int, default=SEED, help="another seed, other names")
    parser.add_argument("--json", action="store_true", help="print one document")
    chosen = parser.parse_args(arguments)
    counts = evaluate(chosen.count, chosen.seed)
    if chosen.json:
        document = {"document": KIND, "seed": chosen.seed, "configs": [asdict(c) for c in counts]}
        print(json.dumps(document, indent=2))
    else:
        print(as_table(counts))
    return 0


def as_table(counts: Sequence[ConfigCount]) -> str:
    """Return the counts as a Markdown table."""
    lines = [
        "| config | token: right | wrong | of these, data read as colour "
        "| no token: unknown | a colour space | commonest misreading |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    for c in counts:
        most = f"{c.most[0][0]} as {c.most[0][1]}" if c.most else "none"
        lines.append(
            f"| {c.config} | {c.token_right} | {c.token_wrong} | {c.data_as_colour} "
            f"| {c.none_right} | {c.none_wrong} | {most} |"
        )
    return "\n".join(lines)


if __name__ == "__main__":
    sys.exit(main())
