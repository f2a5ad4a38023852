"""What a stage declares for a picture: its own ``colorSpace``, else ``sourceColorSpace``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from primecoat.scenes.usd.shaders import category_of, has_source_colour_space
from primecoat.scenes.usd.source_space import CURVE_ONLY, MEANING, WORDLESS, contradiction
from primecoat.scenes.usd.spaces import Spaces, own_space
from primecoat.scenes.usd.terminal import terminal

SOURCE = "inputs:sourceColorSpace"


@dataclass(frozen=True, slots=True, kw_only=True)
class Declaration:
    """What a stage declares for a picture; see the fields of ``ImageUse`` with these names.

    Parameters
    ----------
    contradiction
        How ``colorSpace`` and ``sourceColorSpace`` contradict each other; empty if they do not.
    """

    declared: str | None = None
    named: str | None = None
    partly: bool = False
    automatic: bool = False
    declared_how: str = ""
    refuses: tuple[str, ...] = ()
    contradiction: str = ""
    definition: str = ""


def declaration_of(
    stage: Any, prim: Any, identifier: str, attribute: Any, spaces: Spaces
) -> Declaration:
    """Return what is declared for the picture that an attribute names.

    Parameters
    ----------
    prim, identifier
        The texture or light, and its shader identifier; empty for what is no shader.
    attribute
        Where the picture's path stands.
    spaces
        Knows the names that the stage defines itself.
    """
    own = own_space(attribute)
    reader = has_source_colour_space(category_of(identifier))
    source = source_colour_space(stage, prim, identifier) if identifier else ""
    refuses = WORDLESS if reader else ()
    if own:
        defined = spaces.defined(attribute.GetPrim(), own)
        named = defined.reading if defined else None
        against = contradiction(own, source, named)
        return Declaration(
            declared=own,
            named=named,
            declared_how="by its colorSpace" + (f"; {defined.words}" if defined else ""),
            refuses=refuses,
            automatic=source == "auto",
            contradiction=against,
            definition=defined.words if defined else "",
        )
    if source in MEANING:
        curve_only = source == "sRGB"
        return Declaration(
            declared=source,
            named=MEANING[source],
            partly=curve_only,
            declared_how=CURVE_ONLY if curve_only else "by sourceColorSpace = raw",
            refuses=refuses,
        )
    return Declaration(automatic=source == "auto", refuses=refuses)


def source_colour_space(stage: Any, prim: Any, identifier: str) -> str:
    """Return the ``sourceColorSpace`` in force at a texture; empty if it has no such input.

    OpenUSD's own reader has a default, ``auto``; that of MaterialX has none.
    """
    attribute = prim.GetAttribute(SOURCE)
    value = terminal(stage, attribute).Get() if attribute else None
    return str(value) if value else "auto" if identifier == "UsdUVTexture" else ""
