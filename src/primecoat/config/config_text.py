"""The text of a config file, refused where OpenColorIO must not be given it."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

from primecoat.documents import read_text
from primecoat.errors import InputError

LARGEST: Final = 16 * 1024 * 1024
"""Bytes. The largest built-in config has 73 000; a config is written for people to read."""

_VERSION = re.compile(r"^[\"']?ocio_profile_version[\"']?\s*:", re.MULTILINE)
_ANCHOR = re.compile(r"(?:^|[\s\[{,])&([^\s,\[\]{}]+)")
_ALIAS = re.compile(r"(?:^|[\s\[{,])\*([^\s,\[\]{}]+)")


def read_config_text(path: Path) -> str:
    """Return the text of a config file.

    A YAML text can refer to its own parts (``&name``, ``*name``). A few lines of that can grow
    without end or refer to themselves, and OpenColorIO then hangs or dies, so it is refused.
    OpenColorIO writes no such references.

    Raises
    ------
    InputError
        If there is no such file, or it is no config, too large, or refers to its own parts.
    """
    if not path.is_file():
        raise InputError(f"There is no config file {path}.", "Check the name.")
    if path.suffix == ".ocioz":
        raise InputError(f"{path} is a packed config.", "Unpack it and check the folder's config.")
    if path.stat().st_size > LARGEST:
        raise InputError(
            f"{path} is larger than {LARGEST // 2**20} MiB.", "Give an OpenColorIO config."
        )
    text = read_text(path)
    if "\0" in text or not _VERSION.search(text):
        raise InputError(
            f"{path} is no OpenColorIO config: it has no ocio_profile_version.",
            "Give a config file or the full name of a built-in one.",
        )
    shared = set(_ANCHOR.findall(text)) & set(_ALIAS.findall(text))
    if shared:
        name = min(shared)
        raise InputError(
            f"{path} refers to its own parts (&{name}, *{name}), which can grow without end.",
            "Write the parts out.",
        )
    return text
