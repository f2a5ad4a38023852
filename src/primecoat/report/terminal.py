"""Surveys, plans and gates as tables and lines for a terminal."""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Iterator, Sequence

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from primecoat.apply.execute import Done
from primecoat.checks.survey import Survey
from primecoat.findings import Finding, Severity
from primecoat.location import Location, counted, printable
from primecoat.plan.explicit import is_explicit
from primecoat.plan.operations import describe
from primecoat.plan.plan import Held, Plan
from primecoat.reading.colours import ColourReading
from primecoat.reading.judgement import ImageReading, PartReading
from primecoat.reading.policy import policy
from primecoat.reading.turning import turning_points
from primecoat.report.bakes_view import cost_words
from primecoat.report.listing import Listing

_SEVERITIES: tuple[Severity, ...] = ("error", "warning", "note")
_STYLES = {
    "settled": "",
    "overruled": "",
    "likely": "italic",
    "conflicting": "bold",
    "unknown": "bold",
    "error": "bold",
    "warning": "",
    "note": "dim",
}

_HEADS = ("image", "is", "must be read as", "standing", "read today as", "findings")


def survey_view(survey: Survey, originals: int = 0) -> RenderableType:
    """Return a survey as a table of images, then colours, findings and a summary.

    Parameters
    ----------
    originals
        How many of the images are originals that runs superseded.
    """
    readings = survey.readings
    codes: dict[str, list[str]] = {}
    for finding in survey.findings:
        codes.setdefault(finding.where, []).append(finding.code)
    rows = [
        (
            Text(printable(image.record.path)),
            Text(image.content),
            Text(image.reading),
            Text(image.standing, style=_STYLES[image.standing]),
            Text(_today(image)),
            Text(" ".join(dict.fromkeys(codes.get(image.record.path, [])))),
        )
        for image in readings.images
    ]
    parts: list[RenderableType] = [Listing(heads=_HEADS, rows=rows)] if rows else []
    if readings.colours or readings.lights:
        parts += [Text(""), _colour_table(survey)]
    if readings.products:
        parts += [Text(""), _product_table(survey)]
    if survey.findings:
        parts += [Text(""), findings_view(survey.findings)]
    parts += [Text(""), Text(_summary(survey, originals))]
    return Group(*parts)


def _colour_table(survey: Survey) -> Listing:
    rows = []
    colours = (*survey.readings.colours, *survey.readings.lights)
    for colour, where in zip(colours, _apart(colours), strict=True):
        owner = Text(printable(colour.value.owner))
        working = _span(colour.working, colour.working_maximum) if colour.working else ""
        rows.append(
            (
                owner.append(f" {printable(where)}", style="dim") if where else owner,
                Text(colour.value.slot),
                Text(str(_as_it_stands(colour))),
                Text(colour.reading),
                Text(working),
            )
        )
    heads = ("colour of", "slot", "as it stands", "read as", f"in {survey.readings.to_space}")
    return Listing(heads=heads, rows=rows, breaks=" to ")


def _apart(colours: Sequence[ColourReading]) -> Iterator[str]:
    """Yield what tells a colour from others of the same owner and slot; empty where none is."""
    alike: dict[tuple[str, str], list[ColourReading]] = {}
    for colour in colours:
        alike.setdefault((colour.value.owner, colour.value.slot), []).append(colour)
    for colour in colours:
        others = [
            one.value.location
            for one in alike[colour.value.owner, colour.value.slot]
            if one is not colour
        ]
        yield f"({_telling(colour.value.location, others)})" if others else ""


def _telling(location: Location, others: Sequence[Location]) -> str:
    """Return the shortest end of a place that no other shares; failing that, file and place."""
    words = location.place.split("/")
    for count in range(1, len(words) + 1):
        end = "/".join(words[-count:])
        if not any(f"/{other.place}".endswith(f"/{end}") for other in others):
            return end
    return str(location)


def _product_table(survey: Survey) -> Table:
    table = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
    table.add_column("not exact, in", overflow="fold")
    table.add_column("slot")
    table.add_column("tint or work")
    table.add_column(f"left over in {survey.readings.to_space} (median, 95 %, most)")
    for product in survey.readings.products:
        left = product.residual
        table.add_row(
            Text(printable(product.owner)),
            product.slot,
            _numbers(product.factor) if product.factor else product.operation,
            f"{left.median:.1%}, {left.p95:.1%}, {left.maximum:.0%}"
            if left
            else Text(f"no figure: {product.unknown}"),
        )
    return table


def findings_view(findings: Sequence[Finding]) -> RenderableType:
    """Return findings as lines, the gravest first."""
    ordered = sorted(findings, key=lambda f: (_SEVERITIES.index(f.severity), f.code, f.where))
    lines: list[RenderableType] = []
    for finding in ordered:
        head = Text(f"{finding.code} {finding.severity}: ", style=_STYLES[finding.severity])
        head.append(printable(finding.where), style="bold")
        lines += [
            head,
            _indented(finding.message),
            _indented(finding.remedy, style="dim"),
        ]
    return Group(*lines)


def _indented(words: str, style: str = "") -> Padding:
    return Padding(Text(printable(words), style=style), (0, 0, 0, 4), expand=False)


def held_view(held: Sequence[Held]) -> RenderableType:
    """Return what is held back, with reasons."""
    lines: list[RenderableType] = []
    for item in held:
        lines += [
            Text(printable(item.where), style="bold"),
            _indented(item.why),
            _indented(item.remedy, style="dim"),
        ]
    return Group(*lines)


def why_view(image: ImageReading, findings: Sequence[Finding]) -> RenderableType:
    """Return one image's whole story."""
    head = Text(printable(image.record.path), style="bold")
    outcome = Text(
        f"{image.reading}, {image.standing} ({image.judgement.confidence:.1%}); "
        f"a picture of: {image.content}"
    )
    table = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
    table.add_column("witness", no_wrap=True)
    table.add_column("claims", no_wrap=True)
    table.add_column("weight", justify="right", no_wrap=True)
    table.add_column("because", overflow="fold")
    for item in image.evidence:
        words = printable(item.words) + (f" Set aside: {item.set_aside}." if item.set_aside else "")
        weight = "-" if item.set_aside else f"{item.strength:.1f}"
        witness = f"{item.witness} (prior)" if item.prior else item.witness
        table.add_row(witness, item.claim, weight, words)
    parts: list[RenderableType] = [head, outcome, Text(""), table]
    if not image.evidence:
        parts[-1] = Text("No witness says anything.")
    rivals = [c for c in image.judgement.candidates if c.reading != image.reading][:2]
    if rivals:
        said = ", ".join(f"{c.reading} ({c.confidence:.1%})" for c in rivals)
        parts += [Text(""), Text(f"Next: {said}.")]
    parts += [Text(words) for words in turning_points(image, policy())]
    if image.parts:
        parts += [Text(""), _part_table(image.parts), *([Text("")] if image.uses else [])]
    for use in image.uses:
        written = use.scene_use.use
        parts.append(
            Text(
                f"Used as {written.slot} ({written.channels}) of {printable(written.owner)}: needs "
                f"{use.judgement.reading}, read today as {use.today} ({printable(use.today_why)})."
            )
        )
    if findings:
        parts += [Text(""), findings_view(findings)]
    return Group(*parts)


def _part_table(parts: Sequence[PartReading]) -> Table:
    """Return a row for each part and layer of a file, with what its reading rests on."""
    table = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
    for name in ("part", "channels"):
        table.add_column(name, overflow="fold")
    table.add_column("must be read as", no_wrap=True)
    table.add_column("standing", no_wrap=True)
    table.add_column("because", overflow="fold", ratio=1)
    for part in parts:
        judged = part.judgement
        words = [
            f"{e.words} Set aside: {e.set_aside}." if e.set_aside else e.words
            for e in part.evidence
        ]
        said = "See above." if part.is_main else " ".join(words) or "No witness says anything."
        standing = judged.standing + (f" ({judged.confidence:.1%})" if judged.candidates else "")
        table.add_row(
            Text(printable(f"{part.index} {part.name}".strip())),
            Text(printable(" ".join(part.layer.channels))),
            judged.reading,
            Text(standing, style=_STYLES[judged.standing]),
            Text(printable(said)),
        )
    return table


def plan_view(plan: Plan) -> RenderableType:
    """Return a plan as lines a person can check."""
    lines: list[RenderableType] = [Text(printable(describe(op))) for op in plan.operations]
    if not plan.operations:
        lines.append(Text("Nothing is to be done."))
    if plan.held:
        lines += [Text(""), Text(f"Left as it is ({len(plan.held)}):"), held_view(plan.held)]
    notes = [f for f in plan.findings if f.where not in {held.where for held in plan.held}]
    if notes:
        lines += [Text(""), findings_view(notes)]
    return Group(*lines)


_ONE = "1 image or colour is explicit."


def done_view(done: Sequence[Done]) -> RenderableType:
    """Return what was done, and how."""
    lines = [
        Text(
            f"{printable(describe(d.operation))}  [{d.method}]"
            + (cost_words(d.baked.figures) if d.baked else "")
        )
        for d in done
    ]
    methods = Counter(d.method for d in done)
    if methods["hard link"]:
        linked = (
            "1 new name is a hard link: it shares its bytes"
            if methods["hard link"] == 1
            else f"{methods['hard link']} new names are hard links: they share their bytes"
        )
        lines += [
            Text(""),
            Text(
                f"{linked} with the first name, so a change saved in place through one shows in "
                "both."
            ),
        ]
    return Group(*lines)


def left_view(left: Sequence[Held], explicit: int, *, empty: bool = False) -> RenderableType:
    """Return what keeps a gate closed."""
    if empty:
        return held_view(left) if left else Text("It holds no image, colour or light.")
    if not left:
        return Text(f"All {explicit} images and colours are explicit." if explicit > 1 else _ONE)
    are = _ONE.removesuffix(".") if explicit == 1 else f"{explicit} images and colours are explicit"
    still = "1 is" if len(left) == 1 else f"{len(left)} are"
    return Group(Text(f"{are}, {still} left to a guess:"), held_view(left))


def show(view: RenderableType) -> None:
    """Print a view on standard output, as wide as the terminal; 140 columns where there is none."""
    console = Console(highlight=False)
    if console.is_terminal:
        console.print(view)
        return
    console = Console(highlight=False, width=140, file=io.StringIO())
    with console.capture() as captured:
        console.print(view)
    print("\n".join(line.rstrip() for line in captured.get().splitlines()))


def _today(image: ImageReading) -> str:
    found = dict.fromkeys(u.today for u in image.uses if u.scene_use.use.channels != "a")
    return ", ".join(found) if found else ("data" if image.uses else "-")


def _summary(survey: Survey, originals: int) -> str:
    readings = survey.readings
    counts = Counter(image.standing for image in readings.images)
    standings = ", ".join(f"{count} {standing}" for standing, count in counts.most_common())
    explicit = sum(is_explicit(image) for image in readings.images)
    grave = Counter(finding.severity for finding in survey.findings)
    found = ", ".join(f"{grave[s]} {s}{'s' * (grave[s] != 1)}" for s in _SEVERITIES if grave[s])
    return (
        f"{counted(len(readings.images), 'image')}: {standings or 'none'}; {explicit} explicit. "
        f"Findings: {found or 'none'}.\n"
        f"{_originals_words(originals)}"
        f"From {readings.from_space} to {readings.to_space}; config {readings.config}."
        + (f"\nHouse conventions {readings.house.words}." if readings.house.file else "")
    )


def _originals_words(originals: int) -> str:
    """Return the line on images that only stand where they stood; empty if there are none."""
    if not originals:
        return ""
    what = (
        "1 of them is an original that another file"
        if originals == 1
        else f"{originals} of them are originals that other files"
    )
    return f"{what} of this folder took the place of; gate and sheet leave such out.\n"


def _as_it_stands(colour: ColourReading) -> str:
    value = colour.value
    span = _span(value.value, value.maximum)
    if value.kelvin is None:
        return span
    return f"{value.kelvin:g} K" if value.fixed else f"{span} at {value.kelvin:g} K"


def _span(values: tuple[float, float, float], most: tuple[float, float, float] | None) -> str:
    return _numbers(values) + (f" to {_numbers(most)}" if most else "")


def _numbers(values: tuple[float, float, float]) -> str:
    return " ".join(f"{value:.4f}" for value in values)
