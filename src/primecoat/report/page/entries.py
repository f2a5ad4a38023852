"""The third answer: what each picture is, and how that is known."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from primecoat.colour.ids import UNKNOWN
from primecoat.colour.ocio import DEFAULT_VIEW
from primecoat.images.header import ImageHeader
from primecoat.reading.judgement import FIRM, ImageReading, UseReading
from primecoat.report.page.evidence import evidence_list
from primecoat.report.page.frame import section
from primecoat.report.page.markup import Markup, folded, join, tag, text
from primecoat.report.page.pictures import Picture, thumb
from primecoat.report.page.shown import Shown
from primecoat.report.page.words import confidence, count, standing

_SHOWN_USES = 4

_LEGEND = (
    "Weights are natural logarithms of how much more probable the evidence makes its claim: "
    "2.3 is ten times, 4.6 a hundred times, 9.2 (a full bar) ten thousand times. "
    "Pictures of whole numbers are shown as their stored codes, with no conversion; "
    f"pictures of floating-point colour through the view “{DEFAULT_VIEW}”."
)


def entries(shown: Shown, made: Sequence[Picture]) -> Markup:
    """Return the section with one entry for each image, those to look at first.

    Parameters
    ----------
    made
        The small picture of each.
    """
    question = "What is each picture, and how do you know?"
    if not shown.images:
        return section("pictures", question, tag("p", "There is no picture here."))
    codes: dict[str, list[str]] = defaultdict(list)
    for finding in shown.findings:
        codes[finding.where].append(finding.code)
    listed = [
        _entry(number, image, picture, codes[image.record.path])
        for number, (image, picture) in enumerate(zip(shown.images, made, strict=True), start=1)
    ]
    doubtful = sum(image.standing not in FIRM for image in shown.images)
    groups = (
        (f"{doubtful} to look at", listed[:doubtful]),
        (f"{len(listed) - doubtful} firm enough to act on", listed[doubtful:]),
    )
    parts = [part for title, group in groups if group for part in (tag("h3", title), *group)]
    return section("pictures", question, tag("p", _LEGEND, class_="legend"), *parts)


def _entry(number: int, image: ImageReading, picture: Picture, codes: list[str]) -> Markup:
    return tag(
        "article",
        _frame(number, image, picture),
        tag(
            "div",
            tag("h4", *_name(image.record.path)),
            tag(
                "p",
                tag("code", image.reading, class_="reading"),
                standing(image.standing),
                class_="answer",
            ),
            tag("p", f"{confidence(image.judgement)}.", _content(image)),
            _codes(codes),
            tag("p", _facts(image), class_="header"),
            _uses(image),
            class_="said",
        ),
        evidence_list(image.evidence),
        id=f"picture-{number}",
        class_="entry",
    )


def _frame(number: int, image: ImageReading, picture: Picture) -> Markup:
    inside = thumb(number, picture, image.record.path)
    caption = tag("figcaption", tag("b", str(number)), f" {picture.caption}")
    return tag("figure", tag("div", inside, class_="mat"), caption, class_="frame")


def _name(path: str) -> tuple[Markup, ...]:
    folder, slash, name = path.rpartition("/")
    return (tag("span", folder + slash), text(name)) if folder else (text(name),)


def _content(image: ImageReading) -> Markup:
    if image.content == UNKNOWN:
        return text(" Nothing tells what it holds.")
    return join((" It holds ", tag("code", image.content), "."))


def _codes(codes: list[str]) -> Markup | None:
    if not codes:
        return None
    found = " ".join(dict.fromkeys(codes))
    return tag("p", tag("a", found, href="#todo"), class_="codes")


def _facts(image: ImageReading) -> str:
    header = image.record.header
    problems = [measure.problem for measure in image.record.measures if measure.problem]
    if header is None:
        return problems[0] if problems else "There is no file to look into."
    return f"{_header(header)} {problems[0] if problems else ''}".strip()


def _header(header: ImageHeader) -> str:
    size = f"{header.width} × {header.height}"
    names = header.channels
    channels = "".join(names) if all(len(name) == 1 for name in names) else ", ".join(names)
    facts = [header.format, size, header.pixel_type, channels]
    if header.parts > 1:
        facts.append(count(header.parts, "part"))
    if header.alpha != "none":
        facts.append(f"{header.alpha} alpha")
    facts.extend(header.storage)
    said = [f"{s.kind} ({s.words})" for s in header.statements]
    return f"{', '.join(facts)}; says of its colour: {'; '.join(said) or 'nothing'}."


def _uses(image: ImageReading) -> Markup:
    if not image.uses:
        return tag("p", "No scene here uses it.", class_="header")
    items = [_use(use) for use in image.uses]
    return tag("div", folded(items, shown=_SHOWN_USES, more="uses"), class_="uses")


def _use(use: UseReading) -> Markup:
    written, needs = use.scene_use.use, use.judgement.reading
    same = use.today == needs
    word = "not known yet" if needs == UNKNOWN else "as today" if same else "differs"
    return tag(
        "li",
        tag("b", written.owner or "(no name)"),
        f" {written.slot}, channels {written.channels}",
        tag("small", f" {use.scene_use.scene.name}"),
        tag(
            "dl",
            tag("dt", "today"),
            tag("dd", tag("code", use.today), " ", tag("small", use.today_why)),
            tag("dt", "needs"),
            tag("dd", tag("code", needs), " ", tag("small", word)),
        ),
        class_=None if word == "as today" else "differs",
    )
