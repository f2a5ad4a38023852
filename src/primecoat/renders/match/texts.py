"""The numbers of a look as text: ASC CDL in its three forms, and the Common LUT Format."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final
from xml.sax.saxutils import escape

from primecoat.renders.match.adjustment import LUMA, SPACE, CdlNumbers
from primecoat.version import __version__

WRITTEN_BY: Final = "Matched by Primecoat"
"""How the description in every file begins."""

NAME: Final = "matched_look"
"""ID of the correction, and name of its files."""

_CDL: Final = "urn:ASC:CDL:v1.2"
_CLF: Final = "urn:AMPAS:CLF:v3.0"

_ACESCCT: Final = (
    'base="2" linSideSlope="1" linSideOffset="0" logSideSlope="0.0570776255707763" '
    'logSideOffset="0.554794520547945" linSideBreak="0.0078125"'
)
"""1/17.52, 9.72/17.52 and the break of S-2016-001."""


def description(seen: str) -> str:
    """Return what every file says that its numbers cannot: space, style and weights.

    Parameters
    ----------
    seen
        What was matched, in words.
    """
    luma = ", ".join(f"{weight:g}" for weight in LUMA)
    return (
        f"{WRITTEN_BY} {__version__}: {seen}. Acts on {SPACE} (S-2016-001), before the view. "
        f"Without clamping (numbers above 1 and below 0 are kept; a program that clamps cuts light "
        f"off above 222.9). Saturation by the luma weights {luma}."
    )


def cc_text(numbers: CdlNumbers, words: str) -> str:
    """Return a ColorCorrection file (.cc)."""
    return _xml(_correction(numbers, words, f' xmlns="{_CDL}"', ""))


def ccc_text(numbers: CdlNumbers, words: str) -> str:
    """Return a ColorCorrectionCollection file (.ccc) of one correction."""
    inner = _correction(numbers, words, "", "    ")
    return _xml(
        f'<ColorCorrectionCollection xmlns="{_CDL}">\n{inner}</ColorCorrectionCollection>\n'
    )


def cdl_text(numbers: CdlNumbers, words: str) -> str:
    """Return a ColorDecisionList file (.cdl) of one decision."""
    inner = _correction(numbers, words, "", "        ")
    return _xml(
        f'<ColorDecisionList xmlns="{_CDL}">\n    <ColorDecision>\n{inner}'
        "    </ColorDecision>\n</ColorDecisionList>\n"
    )


def clf_text(numbers: CdlNumbers, words: str) -> str:
    """Return a Common LUT Format file (.clf) that acts on linear AP1 (ACEScg) as a whole.

    Source: S-2014-006, version 3: logarithm, CDL without clamping, and back.
    """
    depths = 'inBitDepth="32f" outBitDepth="32f"'
    log = "\n".join(
        (
            '    <Log {depths} style="{style}">',
            f"        <LogParams {_ACESCCT} />",
            "    </Log>",
        )
    )
    nodes = (
        log.format(depths=depths, style="cameraLinToLog"),
        f'    <ASC_CDL {depths} style="FwdNoClamp">',
        *_numbers(numbers, "        "),
        "    </ASC_CDL>",
        log.format(depths=depths, style="cameraLogToLin"),
    )
    body = "\n".join(nodes)
    return _xml(
        f'<ProcessList compCLFversion="3" id="{NAME}" name="{NAME}" xmlns="{_CLF}">\n'
        f"    <Description>{escape(words)}</Description>\n"
        "    <InputDescriptor>ACEScg (linear AP1)</InputDescriptor>\n"
        "    <OutputDescriptor>ACEScg (linear AP1)</OutputDescriptor>\n"
        f"{body}\n</ProcessList>\n"
    )


TEXTS: Final[dict[str, Callable[[CdlNumbers, str], str]]] = {
    ".cc": cc_text,
    ".ccc": ccc_text,
    ".cdl": cdl_text,
    ".clf": clf_text,
}
"""Who writes which kind of file."""


def _correction(numbers: CdlNumbers, words: str, space: str, indent: str) -> str:
    lines = (
        f'<ColorCorrection id="{NAME}"{space}>',
        *(f"    {line}" for line in _numbers(numbers, "", f"{escape(words)}")),
        "</ColorCorrection>",
    )
    return "".join(f"{indent}{line}\n" for line in lines)


def _numbers(numbers: CdlNumbers, indent: str, words: str = "") -> tuple[str, ...]:
    described = (f"    <Description>{words}</Description>",) if words else ()
    rows = (
        "<SOPNode>",
        *described,
        *(
            f"    <{name}>{' '.join(f'{value:.7f}' for value in triple)}</{name}>"
            for name, triple in (
                ("Slope", numbers.slope),
                ("Offset", numbers.offset),
                ("Power", numbers.power),
            )
        ),
        "</SOPNode>",
        "<SatNode>",
        f"    <Saturation>{numbers.saturation:.7f}</Saturation>",
        "</SatNode>",
    )
    return tuple(f"{indent}{row}" for row in rows)


def _xml(body: str) -> str:
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{body}'
