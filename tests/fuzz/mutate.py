"""A small fuzzer without any library: sound bytes, changed at random, read again and again."""

from __future__ import annotations

import random
import time
from dataclasses import dataclass, field

from tests.fuzz.slow import SLOW_SECONDS
from tests.fuzz.targets import Target

_NASTY = (0, 1, 0x7F, 0x80, 0xFF)


@dataclass
class Tally:
    """What came of a run."""

    executions: int = 0
    slowest: float = 0.0
    fault: str = ""
    data: bytes = field(default=b"", repr=False)


def changed(data: bytes, target: Target, dice: random.Random) -> bytes:
    """Return the bytes with a few changes."""
    out = bytearray(data)
    for _ in range(dice.randint(1, 5)):
        at, kind = dice.randrange(len(out) + 1), dice.randrange(8)
        if kind == 0 and out:
            out[at % len(out)] = dice.choice(_NASTY)
        elif kind == 1 and out:
            out[at % len(out)] ^= 1 << dice.randrange(8)
        elif kind == 2:
            del out[at : at + dice.randint(1, 40)]
        elif kind == 3:
            out[at:at] = dice.randbytes(dice.randint(1, 8))
        elif kind == 4:
            other = dice.choice(target.seeds)
            start = dice.randrange(len(other))
            out[at:at] = other[start : start + dice.randint(1, 60)]
        elif kind == 5 and target.words:
            word = dice.choice(target.words)
            out[at : at + dice.choice((0, len(word)))] = word
        elif kind == 6:
            out[at : at + 4] = dice.choice((b"\xff\xff\xff\xff", b"\x7f\xff\xff\xff", bytes(4)))
        else:
            out = out[: at + 1]
    return bytes(out)


def fuzz(target: Target, *, seed: int, seconds: float = 1e9, most: int = 2**62) -> Tally:
    """Read changed bytes until the time or the number is used up, or something breaks."""
    dice, tally = random.Random(seed), Tally()
    end = time.monotonic() + seconds
    while tally.executions < most and time.monotonic() < end:
        tally.data = changed(dice.choice(target.seeds), target, dice)
        tally.executions += 1
        began = time.process_time()  # so that other work on the machine makes no reader slow
        try:
            target(tally.data)
        except BaseException as error:  # anything but an error of ours is a fault
            tally.fault = f"{type(error).__name__}: {error}"
            if isinstance(error, KeyboardInterrupt):
                raise
            return tally
        took = time.process_time() - began
        tally.slowest = max(tally.slowest, took)
        if took > SLOW_SECONDS:
            tally.fault = f"took {took:.1f} s"
            return tally
    return tally
