"""Benchmark of the file rules for tokens: what one look-up of a path costs.

``python benchmarks/config_rules.py [--size small|full] [--json]``

Processor time in milliseconds of ``Config.getColorSpaceFromFilepath``, mean and 99th percentile of
200 (small) or 2000 (full) look-ups of one path, for the rules that Primecoat writes and for other
forms of the same rules. ``last`` is a path that the last rule matches, ``none`` one that no rule
matches, ``bare`` one without an ending that no rule matches, ``far`` is ``none`` in a path of more
than 200 characters. The forms: ``classes`` writes letters as ``[aA]`` and digits as ``[0-9]``;
``counted`` counts digits with ``{3,7}``; ``a_rule_a_token`` has one rule for every token.
"""

from __future__ import annotations

import argparse
import re
import sys
import time
from collections.abc import Sequence

import numpy as np
import PyOpenColorIO as ocio
from _figures import show

from primecoat.config import token_rules as rules

LOOK_UPS = {"small": 200, "full": 2000}
_NAMES = {
    "first": "saucer_glaze_colour_data.1001.exr",
    "last": "saucer_glaze_colour_hlg_rec2020_display.1001.exr",
    "none": "saucer_glaze_base_colour_strawberry.1001.exr",
    "bare": "saucer_glaze_base_colour_strawberry",
}
_FOLDER = "/jobs/pottery/tea set/textures/glazes/blue/"


def main() -> int:
    """Run the benchmark and print its figures."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--size", choices=LOOK_UPS, default="small")
    parser.add_argument("--json", action="store_true")
    arguments = parser.parse_args()
    times = LOOK_UPS[arguments.size]
    paths = {name: _FOLDER + file for name, file in _NAMES.items()}
    paths["far"] = "/jobs" + "/tea set" * 23 + "/" + _NAMES["none"]
    forms = expressions()
    figures: dict[str, float] = {"rules": len(forms["written"])}
    for form, found in forms.items():
        config = config_of(found)
        figures[f"characters_{form}"] = sum(map(len, found))
        for name, path in paths.items():
            if form == "written" or name == "none":
                spent = look_ups(config, path, times)
                figures[f"mean_ms_{form}_{name}"] = float(np.mean(spent))
                figures[f"p99_ms_{form}_{name}"] = float(np.quantile(spent, 0.99))
    show("config_rules", figures, as_json=arguments.json)
    return 0


def expressions() -> dict[str, tuple[str, ...]]:
    """Return each form of the rules: expressions in order."""
    written = tuple(rule.regex for rule in rules.token_rules())
    number = rules._NUMBER_OF_3_TO_7
    tokens = rules.tokens_by_reading()
    return {
        "written": written,
        "classes": tuple(_with_classes(regex) for regex in written),
        "counted": tuple(regex.replace(number, rules._DIGIT + "{3,7}") for regex in written),
        "a_rule_a_token": tuple(
            rules.token_regex((token,))
            for rule in rules.token_rules()
            for token in tokens[rule.reading]
        ),
    }


def _with_classes(regex: str) -> str:
    return re.sub(r"\(\?:([a-z])\|([A-Z])\)", r"[\1\2]", regex).replace(rules._DIGIT, "[0-9]")


def config_of(found: Sequence[str]) -> ocio.Config:
    """Return a config that has file rules and nothing else."""
    config = ocio.Config.CreateRaw()
    listed = ocio.FileRules()
    for position, regex in enumerate(found):
        listed.insertRule(position, f"rule {position}", "raw", regex)
    config.setFileRules(listed)
    return config


def look_ups(config: ocio.Config, path: str, times: int) -> list[float]:
    """Return the milliseconds of processor time of some look-ups of a path."""
    spent = []
    for _ in range(times):
        start = time.thread_time()
        config.getColorSpaceFromFilepath(path)
        spent.append(1000 * (time.thread_time() - start))
    return spent


if __name__ == "__main__":
    sys.exit(main())
