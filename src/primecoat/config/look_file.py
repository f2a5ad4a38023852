"""A look in a file: the numbers of an ASC CDL, or a LUT, with what the file does not say itself.

No look file names the colour space it works in, and no LUT the one it gives; a file with CDL
numbers does not say either whether they clamp: ASC CDL v1.2 does, OpenColorIO does not when it
reads one. All of that changes the picture, so a person says it and nothing here is assumed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import PyOpenColorIO as ocio

from primecoat.colour.ocio.look_guard import read_look_bytes
from primecoat.config.look_contents import Cdl, check_lut, read_correction
from primecoat.errors import UseError
from primecoat.files import sha256_of_bytes

CDL_SUFFIXES = (".cc", ".ccc", ".cdl")
"""Files that hold the numbers of ASC CDLs."""

_OPEN_LUTS = (".3dl", ".clf", ".csp", ".ctf", ".cube", ".spi1d", ".spi3d")

LUT_SUFFIXES = tuple(
    sorted({f".{suffix}" for _, suffix in ocio.FileTransform.getFormats()} & {*_OPEN_LUTS})
)
"""Files that hold a LUT or a chain of operations, of those that this OpenColorIO reads."""

LOOK_FOLDER = "looks"
"""Name of the folder beside a config that holds its LUTs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LookFile:
    """A look file that was read, and what a person said about it.

    Parameters
    ----------
    path
        The file.
    sha256
        Hash of its bytes, in hexadecimal.
    works_in, gives
        Spaces of the numbers that go in and come out: Color Interop IDs, or names in the config.
    correction
        ID of the correction among several in one file; empty if the file holds one only.
    clamp
        Whether CDL numbers clamp to 0 to 1 as ASC CDL v1.2 says (and, if they work on a display's
        code values, whether these do before); None for a LUT, which holds its own range.
    cdl
        The numbers; None for a LUT.
    """

    path: Path
    sha256: str
    works_in: str
    gives: str
    correction: str = ""
    clamp: bool | None = None
    cdl: Cdl | None = None

    @property
    def beside(self) -> str:
        """File name of the copy beside a config: letters, digits, ``.``, ``_``, ``-`` only.

        OpenColorIO would replace ``$NAME`` and ``%NAME%`` in a name.
        """
        return f"{_plain(self.path.stem)}{self.path.suffix.lower()}"

    @property
    def title(self) -> str:
        """File name and the ID of the correction, fit for the name of a view.

        A comma or colon would end the name in a list of views.
        """
        words = f"{self.path.name} {self.correction}".strip()
        return re.sub(r"[^\w .()-]", "_", words)


def split_correction(given: str) -> tuple[Path, str | None]:
    """Split ``FILE#ID`` into a file and the ID of a correction in it.

    Examples
    --------
    >>> path, correction = split_correction("grades.ccc#tea_010")
    >>> path.name, correction
    ('grades.ccc', 'tea_010')
    """
    name, mark, correction = given.rpartition("#")
    if not mark or Path(given).exists() or Path(name).suffix.lower() not in CDL_SUFFIXES:
        return Path(given), None
    return Path(name), correction


def load_look_file(
    path: Path,
    *,
    works_in: str | None,
    gives: str | None = None,
    clamp: bool | None = None,
    correction: str | None = None,
) -> LookFile:
    """Read a look file; check that OpenColorIO can build it and that all is said that it lacks.

    Parameters
    ----------
    works_in
        Space of the numbers that the look expects.
    gives
        Space of the numbers that come out; CDL numbers give the space that they work in unless
        told otherwise.
    clamp
        Whether CDL numbers clamp to 0 to 1, as ASC CDL v1.2 says.
    correction
        ID of the correction, if the file holds several.

    Raises
    ------
    UseError
        If something is not said, or said of a file that it does not fit.
    InputError
        If the file cannot be read.
    """
    suffix = path.suffix.lower()
    if suffix not in (*CDL_SUFFIXES, *LUT_SUFFIXES):
        known = ", ".join((*CDL_SUFFIXES, *LUT_SUFFIXES))
        raise UseError(f"{path} is no look file that can be read.", f"Give one of: {known}.")
    is_cdl = suffix in CDL_SUFFIXES
    _all_said(path, is_cdl, works_in, gives, clamp, correction)
    data = read_look_bytes(path, f"the look file {path}")
    name, cdl = "", None
    if is_cdl:
        name, cdl = read_correction(path, data, correction)
    else:
        check_lut(path, data)
    return LookFile(
        path=path,
        sha256=sha256_of_bytes(data),
        works_in=works_in or "",
        gives=gives or works_in or "",
        correction=name,
        clamp=clamp,
        cdl=cdl,
    )


def files_beside(*looks: LookFile | None) -> tuple[tuple[Path, str], ...]:
    """Return what must lie beside a config: source files and their names relative to its folder.

    Only LUTs: CDL numbers are written into the config.

    Raises
    ------
    UseError
        If two different files would get one name.
    """
    found: dict[str, LookFile] = {}
    for look in looks:
        if look is None or look.cdl is not None:
            continue
        name = f"{LOOK_FOLDER}/{look.beside}"
        clash = next((other for other in found if other.lower() == name.lower()), name)
        if found.setdefault(clash, look).sha256 != look.sha256:
            raise UseError(
                f"{found[clash].path} and {look.path} cannot both lie beside the config as {name}.",
                "Rename one of them.",
            )
    return tuple((look.path, name) for name, look in found.items())


def _plain(words: str) -> str:
    return re.sub(r"[^A-Za-z0-9._-]+", "_", words)


def _all_said(
    path: Path,
    is_cdl: bool,
    works_in: str | None,
    gives: str | None,
    clamp: bool | None,
    correction: str | None,
) -> None:
    if not works_in:
        raise UseError(
            f"{path} does not say which colour space it works in.",
            "Name the space of the numbers that went into the look, such as lin_rec709_scene.",
        )
    if is_cdl and clamp is None:
        raise UseError(
            f"{path} does not say whether its CDL clamps to 0 to 1.",
            "Say clamp if the old program kept to ASC CDL v1.2, no clamp if highlights above 1 "
            "came through.",
        )
    if not is_cdl and not gives:
        raise UseError(
            f"{path} does not say which colour space it gives.",
            "Name it: a display space such as srgb_rec709_display if code values come out, else "
            "a scene space such as lin_rec709_scene.",
        )
    if not is_cdl and clamp is not None:
        raise UseError(
            f"{path} holds its own range: clamping is a choice for CDL numbers only.",
            "Leave the clamping unsaid.",
        )
    if not is_cdl and correction is not None:
        raise UseError(f"{path} holds no corrections with IDs.", "Leave the ID away.")
