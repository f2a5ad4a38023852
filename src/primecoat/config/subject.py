"""A config under check: its text, what OpenColorIO made of it, and facts measured once."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import PyOpenColorIO as ocio

from primecoat.colour.ocio import is_built_in
from primecoat.config.builds import Build, build_all
from primecoat.config.config_text import read_config_text
from primecoat.config.confined_files import ConfinedFiles, Found, locate
from primecoat.config.library_log import library_log
from primecoat.config.transform_files import FileUse, file_uses

BUILTIN = "ocio://"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Subject:
    """A config under check.

    Parameters
    ----------
    name
        Built-in name or path, as asked for; stands in findings as where they are.
    builtin
        Whether it is one of OpenColorIO's own.
    text
        What was loaded.
    log
        What OpenColorIO said while loading.
    config
        The config; None if OpenColorIO refuses it.
    refused
        Why it was refused, by the loader or by OpenColorIO's own validation; else empty.
    builds
        Every processor.
    files
        Every file that a transform names, and what became of it.
    opener
        Hands files to OpenColorIO as long as the config is used; None for a built-in one.
    """

    name: str
    builtin: bool
    text: str
    log: tuple[str, ...]
    config: ocio.Config | None
    refused: str = ""
    builds: tuple[Build, ...] = ()
    files: tuple[tuple[FileUse, Found], ...] = ()
    opener: ConfinedFiles | None = None

    @property
    def loaded(self) -> ocio.Config:
        """The config; only for checks that run where it was loaded."""
        assert self.config is not None
        return self.config


def subject(name: str) -> Subject:
    """Load a config for checking, by built-in name or by path.

    Files are opened below the config's folder and its search path only.

    Raises
    ------
    InputError
        If there is no such file or it is no config at all.
    """
    if is_built_in(name):
        config = ocio.Config.CreateFromBuiltinConfig(name.removeprefix(BUILTIN))
        return Subject(
            name=name,
            builtin=True,
            text="",
            log=(),
            config=config,
            refused=_validated(config),
            builds=build_all(ocio.Config.CreateFromBuiltinConfig(name.removeprefix(BUILTIN))),
        )
    text = read_config_text(Path(name))
    files = ConfinedFiles(text, Path(name).parent)
    ocio.ClearAllCaches()  # OpenColorIO keeps files by path; one may have been mended since
    with library_log() as log:
        try:
            config = ocio.Config.CreateFromConfigIOProxy(files)
        except ocio.Exception as error:
            return Subject(
                name=name,
                builtin=False,
                text=text,
                log=tuple(log),
                config=None,
                refused=str(error).removeprefix("Error: ").strip(),
            )
        config.setWorkingDir(str(files.folder))
        said = tuple(log)
        context = config.getCurrentContext()
        search = tuple(str(context.resolveStringVar(p)) for p in context.getSearchPaths())
        files.allow(search)
        again = ocio.Config.CreateFromConfigIOProxy(files)
        again.setWorkingDir(str(files.folder))
        return Subject(
            name=name,
            builtin=False,
            text=text,
            log=said,
            config=config,
            refused=_validated(config),
            builds=build_all(again),
            files=tuple(
                (use, locate(files, str(context.resolveStringVar(use.source)), search))
                for use in file_uses(config)
            ),
            opener=files,
        )


def _validated(config: ocio.Config) -> str:
    with library_log():
        try:
            config.validate()
        except (ocio.Exception, ocio.ExceptionMissingFile) as error:
            return str(error).strip()
    return ""
