"""House conventions: what a house says once, in ``primecoat.toml``, for all of its scenes."""

from primecoat.house.conventions import NO_HOUSE, House
from primecoat.house.find import FILE_NAME, NONE, find_house, house_for, house_further_up
from primecoat.house.read import read_house

__all__ = [
    "FILE_NAME",
    "NONE",
    "NO_HOUSE",
    "House",
    "find_house",
    "house_for",
    "house_further_up",
    "read_house",
]
