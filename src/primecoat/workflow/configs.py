"""Configs: write one that reads the scene right, check any, see what one makes of every file."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from primecoat.checks.survey import Survey
from primecoat.colour.defaults import DEFAULT_TO
from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.config.check import ConfigCheck
from primecoat.config.check import check_config as checked
from primecoat.config.config_reading import read_config as files_read
from primecoat.config.config_rows import ConfigReading
from primecoat.config.look_file import LookFile, load_look_file, split_correction
from primecoat.config.plan_content import plan_content
from primecoat.config.write import WrittenConfig
from primecoat.config.write import write_config as written
from primecoat.workflow.history import counting_images, superseded_in
from primecoat.workflow.spaces import space_named


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """A look file, and what a person says of it that no look file says itself.

    Parameters
    ----------
    file
        The file; ``FILE#ID`` names one correction of several.
    works_in, gives
        Spaces of the numbers that go in and come out; None where it is not said.
    clamp
        Whether CDL numbers clamp to 0 to 1; None where it is not said.
    """

    file: str
    works_in: str | None = None
    gives: str | None = None
    clamp: bool | None = None


def write_config(
    out: Path,
    *,
    base: str = DEFAULT_CONFIG,
    from_space: str | None = None,
    to_space: str = DEFAULT_TO,
    old_look: Look | None = None,
    look: Look | None = None,
) -> WrittenConfig:
    """Write a config that reads every file as its name says.

    Parameters
    ----------
    out
        File to write, ending in ``.ocio``.
    base
        Full name of a built-in config.
    from_space
        Working space of before the switch, whose view is kept; None for no such view.
    to_space
        The working space.
    old_look
        What the old view went through.
    look
        Look to offer before the ACES views.
    """
    content = plan_content(
        base=base,
        working=space_named(to_space, base),
        made_in=space_named(from_space, base) if from_space else None,
        old_look=_loaded(old_look),
        look=_loaded(look),
    )
    return written(content, out)


def check_config(config: str) -> ConfigCheck:
    """Say what is wrong with a config: a file, or a built-in one by name."""
    return checked(config)


def read_config(
    survey: Survey, config: str, *, display: str | None = None, view: str | None = None
) -> ConfigReading:
    """Say what a config reads every file of a surveyed scene as, and what a misreading does.

    In a folder, originals that the journal says are superseded do not count.
    """
    readings = replace(survey.readings, images=counting_images(survey, superseded_in(survey)))
    return files_read(replace(survey, readings=readings), config, display=display, view=view)


def _loaded(look: Look | None) -> LookFile | None:
    if look is None:
        return None
    path, correction = split_correction(look.file)
    return load_look_file(
        path, works_in=look.works_in, gives=look.gives, clamp=look.clamp, correction=correction
    )
