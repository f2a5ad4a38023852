"""Corrections in use on an old render: read, probed by numbers, and judged."""

from primecoat.renders.corrections.judge import Judged, JudgedChain, judge_all
from primecoat.renders.corrections.load import Said, load_corrections
from primecoat.renders.corrections.model import Chain, Correction, seen_through

__all__ = [
    "Chain",
    "Correction",
    "Judged",
    "JudgedChain",
    "Said",
    "judge_all",
    "load_corrections",
    "seen_through",
]
