"""Shares of the work."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from primecoat.errors import UseError
from primecoat.jobs import WHOLE, Shard


@given(st.lists(st.integers()), st.integers(1, 9))
def test_shares_are_all_of_the_work_once(items, count):
    """Every item is in one share and one only, and no share is more than one item larger."""
    shares = [Shard(number, count).share(range(len(items))) for number in range(1, count + 1)]
    assert sorted(at for share in shares for at in share) == list(range(len(items)))
    sizes = [len(share) for share in shares]
    assert max(sizes) - min(sizes) <= 1


def test_whole():
    """The whole is one share of one."""
    assert WHOLE.whole
    assert Shard.parse(" 1/1 ") == WHOLE
    assert not Shard.parse("1/2").whole


@pytest.mark.parametrize(
    "text",
    [
        "",
        "1",
        "0/2",
        "3/2",
        "-1/2",
        "1/0",
        "1/2/3",
        "a/b",
        "1/9999999",
    ],
)
def test_no_share(text):
    """What names no share says how one is written."""
    with pytest.raises(UseError, match=r"i/n, such as 2/8"):
        Shard.parse(text)
