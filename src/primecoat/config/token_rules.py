r"""File rules that find a token in a file's own name exactly as :func:`split_name` does.

OpenColorIO matches a rule's regular expression (ECMAScript) against the whole path, with no flag
for any case and no look-behind, and compiles it anew at every look-up, so that compiling is the
greater part of the cost. Bracket classes (``[aA]``, ``\d``) are dear to compile, alternatives are
cheap: ``benchmarks/config_rules.py`` measures both.
"""

from __future__ import annotations

from primecoat.colour.ids import DATA, NAMES
from primecoat.config.content import FileRule
from primecoat.reading.names import DELIMITERS, TOKENS

_FOLDER_AND_ENDING = r"(?=(.*(?:/|\\)|).*?(\.(?!.*\.).*|)$)\1"
"""Looks ahead, keeps the folder as group 1 and the file's ending as group 2 (either may be empty),
and goes to the file's own name. What is kept stays as it is, so that nothing is tried again in
folders; and as the name must end in just this ending, an ending cannot be taken for a token."""

_DELIMITER = r"(?:_|\.|-| )"
_DIGIT = "(?:0|1|2|3|4|5|6|7|8|9)"
_NUMBER_OF_3_TO_7 = rf"(?!..?(?:_|\.|-|$))(?=....?.?.?.?(?:_|\.|-|$)){_DIGIT}+"
"""Cheaper than ``{3,7}``, which copies the ten alternatives seven times."""

_FIRST = (DATA, "srgb_rec709_scene", "lin_ap1_scene", "lin_rec709_scene")
"""The commonest readings: their rules come first, as a look-up ends at the rule that matches."""


def token_rules() -> tuple[FileRule, ...]:
    """Return one rule for every reading that a token can name, in the order to be tried.

    Examples
    --------
    >>> [rule.reading for rule in token_rules()][:2]
    ['data', 'srgb_rec709_scene']
    """
    tokens = tokens_by_reading()
    return tuple(
        FileRule(name=f"Token {reading}", regex=token_regex(tokens[reading]), reading=reading)
        for reading in _longest_first(tokens)
    )


def tokens_by_reading() -> dict[str, tuple[str, ...]]:
    """Return every reading with the tokens that name it."""
    found: dict[str, tuple[str, ...]] = {}
    for token in TOKENS:
        found[NAMES[token]] = (*found.get(NAMES[token], ()), token)
    return found


def token_regex(tokens: tuple[str, ...]) -> str:
    """Return the expression for paths whose file name carries one of some tokens.

    Parameters
    ----------
    tokens
        Lower case letters, digits and ``_``.
    """
    return f"{_FOLDER_AND_ENDING}.*{_DELIMITER}{_any_of(tokens)}{_tail()}\\2"


def _tail() -> str:
    """Return the expression for tiles, frames and placeholders, each with its delimiter."""
    tiles = f"<{_any_of(('udim', 'uvtile'))}>"
    tile = f"{_any_case('u')}{_DIGIT}+_{_any_case('v')}{_DIGIT}+"
    printf = f"%0{_DIGIT}{_any_case('d')}"
    return rf"(?:(?:_|\.|-)(?:{tiles}|{tile}|#+|{printf}|{_NUMBER_OF_3_TO_7}))*"


def _any_case(text: str) -> str:
    return "".join(f"(?:{c}|{c.upper()})" if c.isalpha() else c for c in text)


def _any_of(words: tuple[str, ...]) -> str:
    """Return an expression for any of some words, in which common beginnings are written once."""
    rests: dict[str, tuple[str, ...]] = {}
    for word in words:
        if word:
            rests[word[0]] = (*rests.get(word[0], ()), word[1:])
    branches = [_any_case(first) + _any_of(rest) for first, rest in rests.items()]
    whole = "|".join(branches)
    if "" in words and branches:
        return f"(?:{whole})?"
    return f"(?:{whole})" if len(branches) > 1 else whole


def _longest_first(tokens: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    """Return the readings so that a token comes before one that is the end of it.

    ``st2084_p3d65_display`` (PQ) ends in ``p3d65_display`` (2.6), and the longest token counts.
    """
    left = sorted(tokens, key=lambda r: _FIRST.index(r) if r in _FIRST else len(_FIRST))
    ordered: list[str] = []
    while left:
        ready = next(r for r in left if not any(_ends_in(o, r, tokens) for o in left if o != r))
        left.remove(ready)
        ordered.append(ready)
    return tuple(ordered)


def _ends_in(longer: str, shorter: str, tokens: dict[str, tuple[str, ...]]) -> bool:
    ends = tuple(delimiter + token for token in tokens[shorter] for delimiter in DELIMITERS)
    return any(token.endswith(ends) for token in tokens[longer])
