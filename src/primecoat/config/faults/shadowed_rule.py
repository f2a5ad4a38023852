"""PC509: a file rule that never fires, since an earlier one takes every name it is for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from primecoat.config.faults.common import about, file_rules
from primecoat.config.faults.pattern_samples import samples
from primecoat.config.faults.rule_trial import alone, which
from primecoat.config.subject import Subject
from primecoat.findings import Finding
from primecoat.location import counted


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding for every rule none of whose names gets as far as it."""
    config = subject.loaded
    rules = file_rules(config)
    for index, rule in enumerate(rules):
        if not rule.plain or index == 0:
            continue
        fires = alone(rule)
        taken: Counter[int] = Counter()
        witness = ""
        for name in samples(pattern=rule.pattern, extension=rule.extension, regex=rule.regex):
            if not fires(name):
                continue
            by = which(config, name)
            if by == index:
                break
            taken[by] += 1
            witness = witness or name
        else:
            if taken:
                yield _shadowed(
                    subject,
                    rule.name,
                    rules[taken.most_common(1)[0][0]].name,
                    witness,
                    taken.total(),
                )


def _shadowed(subject: Subject, name: str, earlier: str, witness: str, tried: int) -> Finding:
    return about(
        subject,
        "rule_never_fires",
        f"file rule {name}",
        f"The file rule {name!r} never fires: the earlier rule {earlier!r} takes {witness!r} and "
        f"all of the {counted(tried, 'name')} tried.",
        f"Put {name!r} before {earlier!r}, or take it out.",
    )
