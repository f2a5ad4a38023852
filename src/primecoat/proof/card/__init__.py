"""The test card: a scene of known patches, and what one render of it tells about its program."""

from primecoat.proof.card.model import CardReading
from primecoat.proof.card.read import read_card
from primecoat.proof.card.write import WrittenCard, write_card

__all__ = ["CardReading", "WrittenCard", "read_card", "write_card"]
