"""The second answer: what the reader must do."""

from __future__ import annotations

from primecoat.findings import Finding
from primecoat.plan.plan import Held
from primecoat.report.page.codes import code_link
from primecoat.report.page.frame import section
from primecoat.report.page.markup import Markup, folded, tag
from primecoat.report.page.shown import Shown
from primecoat.report.page.words import count, mark

_SHOWN = 60
_SHOWN_PLACES = 8


def todo(shown: Shown) -> Markup:
    """Return the section of findings, worst first, and of what is left to a guess."""
    if not shown.findings and not shown.left:
        return section("todo", "What must I do?", tag("p", "Nothing: no finding, no open guess."))
    return section("todo", "What must I do?", *_findings(shown), *_left(shown))


def _findings(shown: Shown) -> list[Markup]:
    if not shown.findings:
        return [tag("p", "There is no finding.")]
    items = [_finding(shown, finding) for finding in shown.findings]
    listed = folded(items, shown=_SHOWN, more="findings")
    return [tag("h3", count(len(items), "finding")), tag("div", listed, class_="list findings")]


def _finding(shown: Shown, finding: Finding) -> Markup:
    place = tag("span", f" at {finding.location}", class_="place") if finding.location else None
    return tag(
        "li",
        tag("p", mark(finding.severity), finding.severity, " ", code_link(finding.code)),
        tag(
            "div",
            tag("p", tag("b", shown.link(finding.where)), place, class_="where"),
            tag("p", finding.message),
        ),
        tag("p", finding.remedy, class_="remedy"),
        class_=finding.severity,
    )


def _left(shown: Shown) -> list[Markup]:
    if not shown.left:
        return []
    groups: dict[tuple[str, str], list[Held]] = {}
    for held in shown.left:
        groups.setdefault((held.why, held.remedy), []).append(held)
    items = [_group(shown, why, remedy, held) for (why, remedy), held in groups.items()]
    return [
        tag("h3", f"{count(len(shown.left), 'thing')} left to a guess"),
        tag("div", folded(items, shown=_SHOWN, more="reasons"), class_="list guesses"),
    ]


def _group(shown: Shown, why: str, remedy: str, held: list[Held]) -> Markup:
    places = [tag("li", shown.link(one.where)) for one in held]
    many = tag("b", str(len(held))) if len(held) > 1 else None
    return tag(
        "li",
        tag("p", mark("unknown"), "open", " " if many else None, many),
        tag(
            "div",
            tag("p", why),
            tag("div", folded(places, shown=_SHOWN_PLACES, more="like these"), class_="places"),
        ),
        tag("p", remedy, class_="remedy"),
    )
