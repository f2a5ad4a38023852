"""The fifth answer, where a proof was traced: what the switch does to the picture, and why."""

from __future__ import annotations

import base64

from primecoat.location import counted
from primecoat.proof.paths.causes import Cause
from primecoat.proof.paths.outcome import Proof
from primecoat.report.page.frame import section
from primecoat.report.page.markup import Markup, folded, row, table, tag
from primecoat.report.page.shown import Shown
from primecoat.report.proof_shown import cause_end, proof_png, shown_causes
from primecoat.report.proof_words import SPACES, change_words, nearer_words, told

_SEEN = (
    ("old", "As it is read today, in Rec.709"),
    ("new", "All read as it must be, in AP1"),
    ("spectral", "All read as it must be, in 36 spectral bands"),
)


def proof(shown: Shown, found: Proof) -> Markup:
    """Return the section on what the switch does to a small picture of the scene."""
    height, width = found.size
    old, new = found.sights
    views = new.view if old.view == new.view else f"{old.view}, then {new.view}"
    facts = [
        ("Traced", f"{found.words}; {width} × {height}, {found.new.samples} paths a pixel"),
        ("Through", f"{views}, {new.display}"),
        ("Noise left", f"{found.noise:.2f}, most of it the same in the old and the new picture"),
        *(
            (f"{SPACES[basis]} from the spectrum", told(one))
            for basis, one in found.from_spectral.items()
        ),
    ]
    if new.grade is not None:
        facts.insert(2, ("Matched by", new.grade.name))
    return section(
        "proof",
        "What does the switch do to the picture?",
        tag("p", tag("strong", change_words(found)), " ", nearer_words(found), class_="verdict"),
        tag("div", *(_figure(found, *one) for one in _SEEN), class_="prints"),
        tag(
            "p",
            "All figures are mean CIEDE2000, with 95 % certainty; a small picture of the scene was "
            "computed for them, with chance the same in all three.",
            class_="legend",
        ),
        tag("dl", *(tag("div", tag("dt", a), tag("dd", b)) for a, b in facts), class_="facts"),
        *_causes(shown, found),
        *_unseen(shown, found),
    )


def _causes(shown: Shown, found: Proof) -> list[Markup]:
    if found.causes is None:
        return []
    listed = shown_causes(found)
    parts = [tag("h3", "Why it changes")]
    if listed:
        columns = ("cause", "mended alone", "mended last", "interaction", "where, alone and last")
        rows = (_row(shown, found, number, one) for number, one in enumerate(listed, start=1))
        parts += [
            tag(
                "p",
                "Alone: today's picture with only this mended. Last: with everything mended but "
                "this. Where the two differ, causes act on one another.",
                class_="legend",
            ),
            table(columns, rows, "why"),
        ]
    silent = len(found.causes.causes) - len(listed)
    if silent:
        words = f"{counted(silent, 'possible cause')} without an effect that is told from chance."
        parts.append(tag("p", words))
    return parts


def _row(shown: Shown, found: Proof, number: int, one: Cause) -> Markup:
    name = shown.link(one.name) if one.kind == "image" else tag("span", one.name)
    uses = [use for image in found.misread if image.path in one.images for use in image.uses][:3]
    said = "" if one.firm else ", likely"
    wrong = (tag("small", f"read as {use.today}, is {use.judgement.reading}{said}") for use in uses)
    maps = (
        _picture(found, f"cause-{number}-{which}", f"where, mended {which}")
        for which in ("alone", "last")
    )
    end = tag("small", f"black: none; brightest: {cause_end(one):g} and more")
    return row(
        tag("span", name, *wrong, class_="stack"),
        tag("span", told(one.alone), class_="numbers"),
        tag("span", told(one.last), class_="numbers"),
        tag("span", f"{one.interaction:+.3f}", class_="numbers"),
        tag("span", *maps, end, class_="maps"),
    )


def _unseen(shown: Shown, found: Proof) -> list[Markup]:
    items = [
        tag(
            "li",
            shown.link(one.path),
            f": {one.why}",
            tag("b", ", but it is misread today") if one.misread else None,
        )
        for one in found.unseen
    ]
    items += [tag("li", shown.link(path), ": nobody knows its reading") for path in found.undecided]
    items += [tag("li", note) for note in found.notes]
    if not items:
        return []
    made = folded(items, shown=6, more="things")
    return [tag("h3", "What it does not show"), tag("div", made, class_="places")]


def _figure(found: Proof, name: str, words: str) -> Markup:
    return tag("figure", _picture(found, name, words), tag("figcaption", words))


def _picture(found: Proof, name: str, words: str) -> Markup:
    data = base64.b64encode(proof_png(found, name)).decode("ascii")
    return tag("img", src=f"data:image/png;base64,{data}", alt=words)
