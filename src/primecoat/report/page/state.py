"""The first answer: in what state the scene is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from primecoat.colour.ids import UNKNOWN
from primecoat.reading.judgement import ImageReading
from primecoat.report.page.frame import section
from primecoat.report.page.markup import Markup, folded, tag
from primecoat.report.page.pictures import Picture, thumb
from primecoat.report.page.shown import Shown
from primecoat.report.page.words import STANDINGS, count, mark
from primecoat.report.versions import versions

_SHOWN = 160


def state(shown: Shown, made: Sequence[Picture]) -> Markup:
    """Return the section that says whether the scene is ready, and counts.

    Parameters
    ----------
    made
        The small picture of each image.
    """
    verdict = tag("p", *_verdict(shown), class_="verdict" if shown.ready else "verdict open")
    question = "What is the state of this scene?"
    return section("state", question, verdict, *_contact_sheet(shown, made), _facts(shown))


def _verdict(shown: Shown) -> tuple[str, ...]:
    to = shown.survey.readings.to_space
    if shown.ready and not shown.images and not shown.values:
        return ("Nothing to prime: ", "no picture, colour or light was found here.")
    if shown.ready:
        return (tag("strong", f"Ready for {to}."), " Nothing in it is left to a guess.")
    faults = [count(shown.errors, "error")] if shown.errors else []
    open_ = [f"{count(len(shown.left), 'thing')} left to a guess"] if shown.left else []
    verb = "stands" if shown.errors + len(shown.left) == 1 else "stand"
    reasons = " and ".join(faults + open_)
    return (tag("strong", f"Not ready for {to} yet."), f" {reasons} {verb} in the way.")


def _contact_sheet(shown: Shown, made: Sequence[Picture]) -> tuple[Markup, ...]:
    """Return all pictures, small, with the shape of their standing; long ones fold."""
    if not shown.images:
        return ()
    counts = Counter(image.standing for image in shown.images)
    keys = [
        tag(
            "li",
            mark(word),
            tag("b", str(counts[word])),
            f" {word} ",
            tag("small", meaning),
            class_=None if counts[word] else "none",
        )
        for word, meaning in STANDINGS.items()
    ]
    faulty = {finding.where for finding in shown.findings if finding.severity == "error"}
    frames = [
        tag(
            "li",
            tag(
                "a",
                thumb(number, picture, None),
                tag("span", mark(image.standing), str(number), class_="number"),
                href=f"#picture-{number}",
                title=f"{image.record.path}: {image.standing}",
                class_="ringed" if _asks(image, faulty) else None,
            ),
        )
        for number, (image, picture) in enumerate(zip(shown.images, made, strict=True), start=1)
    ]
    sheet = folded(frames, shown=_SHOWN, more="pictures", within="ol")
    note = tag("p", "Ringed pictures need you: no reading yet, or an error.")
    return tag("ul", *keys, class_="key"), tag("div", sheet, note, class_="contact")


def _asks(image: ImageReading, faulty: set[str]) -> bool:
    return image.reading == UNKNOWN or image.record.path in faulty


def _facts(shown: Shown) -> Markup:
    readings = shown.survey.readings
    made_in = readings.from_space
    total = len(shown.images) + len(shown.values)
    known = versions()
    libraries = ", ".join(f"{name} {number}" for name, number in known["libraries"].items())
    facts = [
        ("Explicit", f"{shown.explicit} of {total} pictures, colours and lights"),
        (
            "Working space",
            f"from {made_in if made_in != UNKNOWN else 'a space that nothing names'} "
            f"to {readings.to_space}",
        ),
        ("Colour config", readings.config),
        *((("House conventions", readings.house.words),) if readings.house.file else ()),
        ("Made with", f"primecoat {known['primecoat']}, {libraries}"),
    ]
    scenes = ", ".join(scene.name for scene in readings.inventory.scenes)
    if scenes:
        facts.insert(0, ("Scene files", scenes))
    if shown.kept:
        words = count(len(shown.kept), "original")
        facts.append(("Not counted", f"{words} that an earlier run replaced by a tagged name"))
    return tag("dl", *(tag("div", tag("dt", a), tag("dd", b)) for a, b in facts), class_="facts")
