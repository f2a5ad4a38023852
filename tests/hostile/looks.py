"""Look and look-up files with numbers that are none, tables without end, entities."""

from __future__ import annotations

from tests.hostile.bombs import ENTITIES, OUTWARD, sparse
from tests.hostile.case import GIVES, Case, file

CDL = (
    '<?xml version="1.0"?>%s<ColorCorrection id="a"><SOPNode><Slope>%s 1 1</Slope>'
    "<Offset>0 0 0</Offset><Power>1 1 1</Power></SOPNode></ColorCorrection>"
)
CLF = (
    '<?xml version="1.0"?>%s<ProcessList xmlns="urn:AMPAS:CLF:v3.0" id="x" compCLFversion="3">'
    '<Matrix inBitDepth="32f" outBitDepth="32f"><Array dim="3 3">%s 0 0 0 1 0 0 0 1</Array>'
    "</Matrix></ProcessList>"
)
TABLE = (
    '<?xml version="1.0"?><ProcessList id="x" compCLFversion="3"><LUT3D inBitDepth="32f" '
    'outBitDepth="32f"><Array dim="4096 4096 4096 3">0 0 0</Array></LUT3D></ProcessList>'
)
SAID = ("--from", "lin_rec709_scene", "--clamp", "--json")
OF_CDL = ("corrections", None, *SAID)
OF_LUT = ("corrections", None, *GIVES)


def cdl(name: str, text: str, *words: str) -> Case:
    """Return a case of a file of CDL numbers."""
    return Case(make=file(name, text), words=words, code=2, command=OF_CDL)


def lut(name: str, text: str, *words: str) -> Case:
    """Return a case of a look-up file."""
    return Case(make=file(name, text), words=words, code=2, command=OF_LUT)


LOOKS = {
    "CDL entities": cdl("a.cc", CDL % (ENTITIES, "&l12;"), "document type"),
    "CDL entity of another file": cdl("a.ccc", CDL % (OUTWARD, "&e;"), "document type"),
    "CDL of no number": cdl("a.cc", CDL % ("", "nan"), "a.cc"),
    "CDL beyond float32": cdl("a.cdl", CDL % ("", "1e400"), "1e400", "beyond float32"),
    "CLF entities": lut("a.clf", CLF % (ENTITIES, "&l12;"), "document type"),
    "CLF matrix of no number": lut("a.clf", CLF % ("", "nan"), "infinite or none"),
    "CLF matrix beyond float32": lut("a.clf", CLF % ("", "1e99"), "beyond float32"),
    "CLF table without end": lut("a.clf", TABLE, "Illegal array dimensions"),
    "cube of no number": lut("a.cube", "LUT_3D_SIZE 2\n" + "nan 0 0\n" * 8, "infinite or none"),
    "cube beyond float32": lut("a.cube", "LUT_3D_SIZE 2\n" + "1e999 0 0\n" * 8, "a.cube"),
    "cube without end": lut("a.cube", "LUT_3D_SIZE 4096\n0 0 0\n", "between 2 and 129"),
    "curve without end": lut("a.cube", "LUT_1D_SIZE 2000000000\n0 0 0\n", "between 2 and 300000"),
    "cube of a million million bytes": Case(
        make=sparse("a.cube"), words=("PRIMECOAT_MOST_LOOK_BYTES=",), code=2, command=OF_LUT
    ),
}
"""By name."""
