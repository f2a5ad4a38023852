"""Letters of 5 by 7 dots, to write on pictures: capitals, digits and the signs that labels need."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

HEIGHT = 7
_WIDTH = 5
_STEP = 6

_DOTS = """
A 0E 11 11 1F 11 11 11|B 1E 11 11 1E 11 11 1E|C 0E 11 10 10 10 11 0E|D 1E 11 11 11 11 11 1E
E 1F 10 10 1E 10 10 1F|F 1F 10 10 1E 10 10 10|G 0E 11 10 17 11 11 0F|H 11 11 11 1F 11 11 11
I 0E 04 04 04 04 04 0E|J 07 02 02 02 02 12 0C|K 11 12 14 18 14 12 11|L 10 10 10 10 10 10 1F
M 11 1B 15 15 11 11 11|N 11 19 19 15 13 13 11|O 0E 11 11 11 11 11 0E|P 1E 11 11 1E 10 10 10
Q 0E 11 11 11 15 12 0D|R 1E 11 11 1E 14 12 11|S 0F 10 10 0E 01 01 1E|T 1F 04 04 04 04 04 04
U 11 11 11 11 11 11 0E|V 11 11 11 11 11 0A 04|W 11 11 11 15 15 1B 11|X 11 11 0A 04 0A 11 11
Y 11 11 0A 04 04 04 04|Z 1F 01 02 04 08 10 1F|0 0E 11 13 15 19 11 0E|1 04 0C 04 04 04 04 0E
2 0E 11 01 02 04 08 1F|3 1E 01 01 0E 01 01 1E|4 02 06 0A 12 1F 02 02|5 1F 10 1E 01 01 11 0E
6 06 08 10 1E 11 11 0E|7 1F 01 02 04 04 08 08|8 0E 11 11 0E 11 11 0E|9 0E 11 11 0F 01 02 0C
. 00 00 00 00 00 0C 0C|, 00 00 00 00 0C 04 08|: 00 0C 0C 00 0C 0C 00|- 00 00 00 1F 00 00 00
+ 00 04 04 1F 04 04 00|/ 01 01 02 04 08 10 10|( 02 04 08 08 08 04 02|) 08 04 02 02 02 04 08
% 19 19 02 04 08 13 13|= 00 00 1F 00 1F 00 00|_ 00 00 00 00 00 00 1F|# 0A 0A 1F 0A 1F 0A 0A
< 02 04 08 10 08 04 02|> 08 04 02 01 02 04 08|* 00 0A 04 1F 04 0A 00|? 0E 11 01 02 04 00 04
"""

_GLYPHS = {
    entry[0]: np.array(
        [
            [int(row, 16) >> (_WIDTH - 1 - dot) & 1 for dot in range(_WIDTH)]
            for row in entry.split()[1:]
        ],
        dtype=bool,
    )
    for line in _DOTS.strip().splitlines()
    for entry in line.split("|")
}


def text_width(text: str, scale: int = 1) -> int:
    """Return how wide a text is, in pixels.

    Examples
    --------
    >>> text_width("CUP"), text_width("CUP", 2)
    (17, 34)
    """
    return max(0, _STEP * len(text) - 1) * scale


def write(
    picture: NDArray[np.float32],
    text: str,
    row: int,
    column: int,
    *,
    scale: int = 1,
    colour: tuple[float, float, float] = (0.85, 0.85, 0.85),
) -> None:
    """Write a text on a picture of shape (height, width, 3); what is beyond its edge is left out.

    Small letters become capitals; a character that has no letter becomes a question mark.
    """
    height, width = picture.shape[:2]
    for place, sign in enumerate(text.upper()):
        if sign == " ":
            continue
        glyph = _GLYPHS.get(sign, _GLYPHS["?"])
        dots = np.repeat(np.repeat(glyph, scale, axis=0), scale, axis=1)
        left = column + place * _STEP * scale
        rows, columns = np.nonzero(dots)
        rows, columns = rows + row, columns + left
        seen = (rows >= 0) & (rows < height) & (columns >= 0) & (columns < width)
        picture[rows[seen], columns[seen]] = colour
