"""One colour in every space, and white-balance gains in another."""

from __future__ import annotations

from primecoat.colour.defaults import DEFAULT_TO
from primecoat.colour.ocio import DEFAULT_DISPLAY, config_name, load_config
from primecoat.colour.picked import parse_triple
from primecoat.colour.swatch import Swatch, swatch_of
from primecoat.colour.white_balance import MovedGains, move_gains
from primecoat.config.identify import identify
from primecoat.workflow.spaces import space_named


def swatch(
    colour: str,
    *,
    space: str | None = None,
    to_space: str = DEFAULT_TO,
    config: str | None = None,
    through: str | None = None,
    against: str | None = None,
    display: str = DEFAULT_DISPLAY,
) -> Swatch:
    """Say one colour in every space; see :func:`primecoat.colour.swatch.swatch_of`."""
    used = config_name(config)
    working = space_named(to_space, used)
    view = {"through": through, "against": against}
    known = identify(load_config(used), space).reading if space else None
    return swatch_of(colour, known or space, working=working, config=used, display=display, **view)


def gains(
    numbers: str, *, from_space: str, to_space: str = DEFAULT_TO, config: str | None = None
) -> MovedGains:
    """Say white-balance gains, three numbers with commas, in another working space."""
    used = config_name(config)
    source, target = space_named(from_space, used), space_named(to_space, used)
    return move_gains(parse_triple(numbers), source, target, config=used)


def views(config: str) -> tuple[tuple[str, str], ...]:
    """Return each display of a config with each of its views, in the config's order."""
    loaded = load_config(config)
    return tuple(
        (str(display), str(view))
        for display in loaded.getDisplays()
        for view in loaded.getViews(display)
    )
