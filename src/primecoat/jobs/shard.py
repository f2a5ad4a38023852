"""A share of the jobs: one of ``n`` that a queue hands out, so that together they do all."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from primecoat.errors import UseError
from primecoat.jobs.engine import Item


@dataclass(frozen=True, slots=True)
class Shard:
    """One share of ``count``; shares are numbered from 1.

    Examples
    --------
    >>> Shard.parse("2/3").share(["a", "b", "c", "d", "e"])
    ('b', 'e')
    """

    number: int = 1
    count: int = 1

    @classmethod
    def parse(cls, text: str) -> Shard:
        """Return the share that ``2/8`` means.

        Raises
        ------
        UseError
            If the text names no share.
        """
        found = re.fullmatch(r"(\d{1,6})/(\d{1,6})", text.strip())
        number, count = (int(found[1]), int(found[2])) if found else (0, 0)
        if not 1 <= number <= count:
            raise UseError(
                f"{text!r} is no share of the work.", "Write i/n, such as 2/8, with i from 1 to n."
            )
        return cls(number, count)

    @property
    def whole(self) -> bool:
        """Whether this is all of the work."""
        return self.count == 1

    def share(self, items: Sequence[Item]) -> tuple[Item, ...]:
        """Return every ``count``-th item, beginning with this share's number.

        The items must stand in the same order for every share.
        """
        return tuple(items[self.number - 1 :: self.count])


WHOLE = Shard()
"""The share that is all of the work."""
