"""How a use is read now, and whether that is otherwise than it must be read."""

from __future__ import annotations

from primecoat.colour.ids import DATA, SPACES, UNKNOWN, reading_named
from primecoat.inventory import ImageRecord, SceneUse
from primecoat.reading.evidence import encoding_of, is_data
from primecoat.reading.judgement import UseReading
from primecoat.scenes.usd.automatic import automatic
from primecoat.scenes.usd.source_space import source_word


def read_today(use: SceneUse, record: ImageRecord) -> tuple[str, str]:
    """Return how the use is read now, and why; ``unknown`` where programs differ."""
    if use.use.today:
        return use.use.today, use.use.today_why
    if use.use.fixed is not None:
        return use.use.fixed, f"{use.use.standard} fixes the slot's encoding"
    if use.use.declared and use.use.declared != UNKNOWN:
        named = use.use.declared_reading
        if named is not None:
            return _beside_automatic(use, record, named) or (
                named,
                f"the scene declares it ({use.use.standard})",
            )
        return UNKNOWN, f"nobody knows the declared name {use.use.declared!r}"
    if use.use.automatic and record.header is not None:
        return automatic(record.header)
    return UNKNOWN, "nothing says it; each program chooses by itself"


def _beside_automatic(use: SceneUse, record: ImageRecord, named: str) -> tuple[str, str] | None:
    """Return what OpenUSD's automatic choice makes of a picture against what is declared beside it.

    None if there is no such choice, or it comes to the same curve.
    """
    if not use.use.automatic or record.header is None:
        return None
    chosen, why = automatic(record.header)
    if source_word(chosen) == source_word(named):
        return None
    return chosen, f"{why}; only programs that go by colorSpace read it as {named}"


def is_misread(use: UseReading) -> bool:
    """Whether it is known how a use is read now, and that is not its reading.

    Scene and display space of one encoding are read alike: they undo the same curve.
    """
    needed, today = use.judgement.reading, use.today
    if use.scene_use.use.channels == "a" or UNKNOWN in (needed, today):
        return False
    if is_data(needed) or is_data(today):
        return needed != today
    return encoding_of(needed) != encoding_of(today)


def numbers_are_changed(use: UseReading) -> bool:
    """Whether a misread use gives other numbers than it must, whatever the working space is.

    Linear numbers taken as they stand are right if they are in the working space, and data said
    to be in that space is not converted.
    """
    needed, today = use.judgement.reading, use.today
    if today == DATA:
        return not (needed in SPACES and SPACES[needed].linear)
    working = use.scene_use.scene.working
    said_to_be_working = bool(working) and reading_named(working) == today
    return not (is_data(needed) and said_to_be_working and SPACES[today].linear)
