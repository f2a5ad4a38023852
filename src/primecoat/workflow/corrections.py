"""Which corrections of an old render may stay."""

from __future__ import annotations

from pathlib import Path

from primecoat.colour.defaults import DEFAULT_TO
from primecoat.colour.ocio import config_name
from primecoat.colour.products import check_linear
from primecoat.renders.corrections import JudgedChain, Said, judge_all, load_corrections
from primecoat.workflow.spaces import space_named


def corrections(
    file: Path | str,
    *,
    from_space: str | None = None,
    to_space: str = DEFAULT_TO,
    gives: str | None = None,
    clamp: bool | None = None,
    config: str | None = None,
) -> JudgedChain:
    """Judge the corrections of a file; see :func:`primecoat.renders.corrections.judge_all`.

    Parameters
    ----------
    from_space, gives, clamp
        Space of the numbers that go in and that come out, and whether CDL numbers clamp: what the
        file does not say itself.
    """
    used = config_name(config)
    target = space_named(to_space, used)
    check_linear(target)
    said = Said(space=from_space, gives=gives, clamp=clamp)
    return judge_all(load_corrections(str(file), said, used), target)
