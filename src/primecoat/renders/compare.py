"""Compare two renders, single frames or sequences: by how much the picture changed."""

from __future__ import annotations

from pathlib import Path

from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.errors import UseError
from primecoat.renders.figures import Comparison, Figures, Noise
from primecoat.renders.handover.shown_through import shown_through
from primecoat.renders.inputs import Input, pairs_of
from primecoat.renders.measure_pair import exposure_between, measure_pair
from primecoat.renders.pairing import Pair, Through
from primecoat.renders.pictures.draw import draw_pictures
from primecoat.renders.tally import Tally


def compare_renders(
    a: Input,
    b: Input,
    *,
    display: str | None = None,
    align: bool = False,
    noise: str | None = None,
    colour_only: bool = False,
    pictures: Path | None = None,
    config: str = DEFAULT_CONFIG,
) -> Comparison:
    """Return how two renders differ, and draw it if asked.

    Parameters
    ----------
    a, b
        Old and new.
    display
        Display that both are seen on.
    align
        Bring B to the exposure of A first; the difference is still told.
    noise
        Second seed of A, file or pattern: what of the difference is noise.
    colour_only
        Let one have alpha and the other not.
    pictures
        Folder for pictures: of the frame that differs most.
    config
        Built-in name or path.

    Raises
    ------
    UseError
        If nobody says a space, sizes or channels differ, frames are missing, or views are mixed.
    ImageError
        If a picture cannot be read.
    """

    def paired(one: Input, other: Input) -> list[tuple[int | None, Pair]]:
        return list(pairs_of(one, other, display=display, colour_only=colour_only, config=config))

    pairs = paired(a, b)
    _expect_one_kind(pairs)
    aligned = _alignment(pairs) if align else None
    gain = 2.0 ** -(aligned or 0.0)
    single = len(pairs) == 1
    whole, frames, worst = _measure_all(pairs, gain, pictures=bool(pictures) and single)
    written: tuple[Path, ...] = ()
    if pictures:
        shown = whole if single else measure_pair(worst, gain=gain, pictures=True)
        written = draw_pictures(shown, pictures)
    floor = None
    if noise is not None:
        second = Input(name=noise, space=a.space, view=a.view, layer=a.layer, part=a.part)
        seeds, _, _ = _measure_all(paired(a, second), 1.0, pictures=False)
        beyond = whole.ciede2000.share_above(seeds.ciede2000.percentile(99))
        floor = Noise(path=noise, figures=seeds.figures(), share_above=beyond)
    return Comparison(
        a=a.name,
        b=b.name,
        pair=pairs[0][1],
        figures=whole.figures(),
        frames=frames,
        aligned=aligned,
        noise=floor,
        pictures=written,
        through=_through(pairs[0][1]),
    )


def _through(pair: Pair) -> tuple[Through | None, Through | None]:
    a, b = (
        shown_through(frame.path)
        if seen.view is None
        else Through(display=seen.display, view=seen.view, config=seen.config)
        for frame, seen in ((pair.a, pair.seen_a), (pair.b, pair.seen_b))
    )
    return a, b


def _measure_all(
    pairs: list[tuple[int | None, Pair]], gain: float, *, pictures: bool
) -> tuple[Tally, tuple[tuple[int, Figures], ...], Pair]:
    """Return all frames together, the figures of each of a sequence, and the one that is worst."""
    if len(pairs) == 1 and pairs[0][0] is None:
        return measure_pair(pairs[0][1], gain=gain, pictures=pictures), (), pairs[0][1]
    whole = Tally(pairs[0][1])
    frames: list[tuple[int, Figures]] = []
    for number, pair in pairs:
        tally = measure_pair(pair, gain=gain, pictures=pictures)
        frames.append((number or 0, tally.figures()))
        if len(pairs) == 1:
            return tally, tuple(frames), pair
        whole.merge(tally)
    worst = max(range(len(pairs)), key=lambda at: frames[at][1].ciede2000.mean)
    return whole, tuple(frames), pairs[worst][1]


def _expect_one_kind(pairs: list[tuple[int | None, Pair]]) -> None:
    """Refuse a sequence whose files state different spaces: its figures could not be added up."""
    kinds = {(pair.a.space, pair.b.space) for _, pair in pairs}
    if len(kinds) > 1:
        spaces = sorted({space for kind in kinds for space in kind})
        raise UseError(
            f"The frames of a sequence are in different spaces: {', '.join(spaces)}.",
            "Compare frames of one kind, or name the space with --in-a and --in-b.",
        )


def _alignment(pairs: list[tuple[int | None, Pair]]) -> float:
    """Return one exposure difference for all frames: the middle one of them."""
    found = sorted(exposure_between(pair).median for _, pair in pairs)
    return found[len(found) // 2]
