"""What other documents tell of the renders: differences, look, handed-over files, test card."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from primecoat.documents import Document
from primecoat.report.attached import Attached, not_whole
from primecoat.report.page.frame import section
from primecoat.report.page.markup import Markup, row, table, tag
from primecoat.report.page.words import count, mark

Part = tuple[str, str, Markup]
"""Anchor, short title, section."""


def attached_parts(attached: Sequence[Attached]) -> list[Part]:
    """Return a section for each attached document, in order.

    Raises
    ------
    InputError
        If a document is not whole.
    """
    return [_part(number, one) for number, one in enumerate(attached, start=1)]


def _part(number: int, one: Attached) -> Part:
    title, question, tell = _TOLD[one.kind]
    anchor = f"attached-{number}"
    try:
        told = tell(one.content)
    except (KeyError, TypeError, ValueError, IndexError, AttributeError) as error:
        raise not_whole(one, error) from error
    told.append(tag("p", f"From {one.path.name}.", class_="legend"))
    return anchor, title, section(anchor, question, *told)


def _compare(found: Document) -> list[Markup]:
    a, b, spread = found["a"], found["b"], found["ciede2000"]
    stops = round(float(found["exposure_stops"]), 3) + 0.0  # no -0
    which = "as bright" if abs(stops) < 0.0005 else "brighter" if stops > 0 else "darker"
    facts = [
        ("A", _render(a)),
        ("B", _render(b)),
        ("Exposure", f"{stops:+.3f} stops: B is {which}"),
    ]
    names = ("mean", "p50", "p95", "p99", "max")
    cells = ["CIEDE2000", *(f"{float(spread[name]):.2f}" for name in names)]
    heads = ("difference", "mean", "median", "95 %", "99 %", "most")
    return [_facts(facts), table(heads, [row(*cells)], "figures")]


def _match(found: Document) -> list[Markup]:
    first, last = found["steps"][0]["residual"], found["residual"]
    facts = [
        ("Old", _render(found["old"])),
        ("New", _render(found["new"])),
        ("Exposure", f"{float(found['exposure_stops']):+.4f} stops"),
        ("Contrast", f"{float(found['contrast']):.4f} about mid-grey, 0.18"),
        ("Saturation", f"{float(found['saturation']):.4f}"),
        ("Worked in", f"{found['acts_on']}, {'clamped' if found['clamps'] else 'not clamped'}"),
    ]
    rows = [
        row(name, f"{float(one['mean']):.2f}", f"{float(one['p95']):.2f}")
        for name, one in (("as rendered", first), ("matched", last))
    ]
    files = [("Files", ", ".join(map(str, found["files"])))] if found["files"] else []
    return [
        _facts([*facts, *files]),
        table(("CIEDE2000 that is left", "mean", "95 %"), rows, "figures"),
    ]


def _handover(found: Document) -> list[Markup]:
    recipe = found["recipe"]
    through = f", {recipe['display']} through {recipe['view']}" if recipe["view"] else ""
    rows = [
        row(
            tag("span", one["output"], class_="path"),
            f"{one['width']} × {one['height']}",
            tag("span", one["master"], class_="path"),
            one["read_back"]["pixels"],
            ", ".join(one["read_back"]["labels"]) or tag("em", "nothing"),
            tag("code", one["sha256"][:12]),
        )
        for one in found["files"]
    ]
    failed = [
        tag("li", mark("error"), " ", str(one["master"]), ": ", str(one["reason"]))
        for one in found["failures"]
    ]
    heads = ("file", "size", "made from", "read back", "says of itself", "SHA-256 begins")
    return [
        tag("p", f"{count(len(rows), 'file')}: {recipe['kind']}, {found['space']}{through}."),
        table(heads, rows, "figures"),
        *([tag("ul", *failed)] if failed else []),
    ]


def _card(found: Document) -> list[Markup]:
    space, view = found["working_space"], found["view"]
    names = ", ".join(f"{one['view']} on {one['display']}" for one in view["names"])
    baked = "nothing tells" if view["baked"] is None else names if view["baked"] else "none"
    rows = [
        row(
            one["words"],
            tag("code", one["made_as"]),
            tag("code", one["reading"]),
            one["standing"],
            one["remedy"] or "",
        )
        for one in found["inputs"]
    ]
    facts = [
        ("Render", str(found["render"]["path"])),
        ("Working space", f"{space['reading']}, {space['standing']}"),
        ("View in the picture", baked),
    ]
    heads = ("input", "made as", "the program read", "standing", "what to set")
    return [_facts(facts), table(heads, rows, "figures")]


def _render(one: Document) -> str:
    view = f", seen through {one['view']} on {one['display']}" if one.get("view") else ""
    return f"{one['path']}: {one['space']}{view}"


def _facts(facts: Sequence[tuple[str, str]]) -> Markup:
    return tag("dl", *(tag("div", tag("dt", a), tag("dd", b)) for a, b in facts), class_="facts")


_TOLD: dict[str, tuple[str, str, Callable[[Document], list[Markup]]]] = {
    "primecoat.compare/1": ("Renders", "How do the renders differ?", _compare),
    "primecoat.match/1": ("Look", "Which numbers bring the old look back?", _match),
    "primecoat.handover/1": ("Handed over", "Which files were handed over?", _handover),
    "primecoat.card/1": ("Test card", "What does the program do with each input?", _card),
}
