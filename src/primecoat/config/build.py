"""A config made from its content: the base copied, then changed to say what the content says."""

from __future__ import annotations

import copy
from pathlib import Path

import PyOpenColorIO as ocio

from primecoat.colour.ids import UNKNOWN
from primecoat.colour.ocio import load_config
from primecoat.config.added_space import added_space, unknown_space
from primecoat.config.content import ConfigContent, NamedSpace
from primecoat.config.look import add_look
from primecoat.config.old_view import add_old_view
from primecoat.config.plan_content import aliases_of


def build_config(content: ConfigContent, folder: Path | None = None) -> ocio.Config:
    """Return a new config that says what the content says; it is not validated yet.

    Parameters
    ----------
    folder
        Where look files lie that the config names without a folder.
    """
    config = copy.deepcopy(load_config(content.base))
    if folder is not None:
        config.setWorkingDir(str(folder))
    config.setName(content.name)
    config.setDescription(f"{content.description}\n\n{config.getDescription()}")
    for space in content.spaces:
        config.addColorSpace(_answering(config, space, with_id=content.keeps_ids))
    config.addColorSpace(_identified(unknown_space(), UNKNOWN, with_id=content.keeps_ids))
    for role, name in content.roles:
        config.setRole(role, name)
    _show_readings(config, content)
    if content.made_in is not None:
        add_old_view(config, content.old_look, made_in=content.made_in)
    if content.look is not None:
        add_look(config, content.look)
    config.setFileRules(_file_rules(content))
    return config


def _answering(config: ocio.Config, space: NamedSpace, *, with_id: bool) -> ocio.ColorSpace:
    """Return a reading's space, made to answer to every name of the reading."""
    made = (
        added_space(space.reading)
        if space.added
        else copy.deepcopy(config.getColorSpace(space.name))
    )
    names = {str(name).lower() for name in (made.getName(), *made.getAliases())}
    for alias in aliases_of(space.reading):
        if alias not in names:
            made.addAlias(alias)
    return _identified(made, space.reading, with_id=with_id)


def _identified(space: ocio.ColorSpace, reading: str, *, with_id: bool) -> ocio.ColorSpace:
    if with_id:
        space.setInteropID(reading)
    return space


def _show_readings(config: ocio.Config, content: ConfigContent) -> None:
    """Take the spaces that file rules lead to out of the list of hidden ones.

    Names that no space has, which some bases list, go as well.
    """
    listed = [name.strip() for name in config.getInactiveColorSpaces().split(",")]
    led_to = {space.name for space in content.spaces}
    hidden = [
        name
        for name in dict.fromkeys(listed)
        if name not in led_to and config.getColorSpace(name) is not None
    ]
    config.setInactiveColorSpaces(", ".join(hidden))


def _file_rules(content: ConfigContent) -> ocio.FileRules:
    names = {space.reading: space.name for space in content.spaces}
    rules = ocio.FileRules()
    for position, rule in enumerate(content.rules):
        rules.insertRule(position, rule.name, names[rule.reading], rule.regex)
    rules.setDefaultRuleColorSpace(content.default)
    return rules
