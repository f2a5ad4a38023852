"""The test card: written, and read back from a render."""

from __future__ import annotations

from pathlib import Path

from primecoat.colour.ids import DATA, SPACES
from primecoat.colour.ocio import config_name, load_config
from primecoat.config.identify import identify
from primecoat.errors import UseError
from primecoat.proof.card import CardReading, WrittenCard
from primecoat.proof.card import read_card as read_render
from primecoat.proof.card import write_card as write_scenes
from primecoat.report.shown.apart import in_worker


def write_card(folder: Path | str, *, config: str | None = None) -> WrittenCard:
    """Write the test card into a new folder; see :func:`primecoat.proof.card.write.write_card`."""
    return write_scenes(Path(folder), config=config_name(config))


def read_card(
    render: Path | str,
    *,
    space: str | None = None,
    views: tuple[str, ...] = (),
    config: str | None = None,
) -> CardReading:
    """Say what a render of the card tells; see :func:`primecoat.proof.card.read.read_card`.

    Parameters
    ----------
    render
        The picture.
    space
        Space of its numbers: a Color Interop ID or another name of it.
    views
        Views to try, by name; ``none`` for none.

    Raises
    ------
    UseError
        If the name means no colour space.
    """
    used = config_name(config)
    known = None if space is None else identify(load_config(used), space).reading
    if space is not None and (known is None or known == DATA):
        raise UseError(f"There is no colour space {space!r}.", f"Use one of: {', '.join(SPACES)}.")
    path = Path(render)
    return in_worker(path.name, read_render, path, space=known, views=views, config=used)
