"""The verbs that survey a scene, tell of one image, and record a person's word."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from primecoat import jobs, workflow
from primecoat.cli.options import (
    AsJson,
    Cluster,
    Config,
    FromSpace,
    HouseFile,
    Rehash,
    Roots,
    SceneTo,
    Share,
    Target,
    Without,
    Workers,
)
from primecoat.cli.progress import progress_bar
from primecoat.cli.surveyed import surveyed, tell_unread_house
from primecoat.cli.values import one_of
from primecoat.cli.writing import print_document
from primecoat.colour.ids import READINGS, UNKNOWN
from primecoat.documents import dumps
from primecoat.location import counted, printable

if TYPE_CHECKING:
    from primecoat.reading.asked import Again


def survey(
    target: Target,
    json: AsJson = False,
    root: Roots = None,
    from_space: FromSpace = None,
    to_space: SceneTo = None,
    config: Config = None,
    house: HouseFile = None,
    without: Without = "",
    rehash: Rehash = False,
    workers: Workers = None,
    cluster: Cluster = None,
    shard: Share = None,
) -> None:
    """Say how every image and colour must be read, why, and what is wrong."""
    from primecoat.reading.asked import Again, Asked
    from primecoat.report import terminal
    from primecoat.report.survey_document import survey_document
    from primecoat.workflow.history import originals_of_others

    if shard is not None:
        asked = Asked(
            roots=tuple(root or ()),
            from_space=from_space,
            to_space=to_space,
            config=config,
            house=house,
        )
        again = Again(target=target, asked=asked)
        _measure_share(again, jobs.Shard.parse(shard), json, rehash, workers, cluster)
        return
    found = surveyed(
        target, root, from_space, to_space, config, without, house=house, tells_house=False,
        verify=rehash, workers=workers, cluster=cluster,
    )  # fmt: skip
    if json:
        print(dumps(survey_document(found)), end="")
    else:
        terminal.show(terminal.survey_view(found, originals_of_others(found)))
    raise typer.Exit(0 if found.ready else 1)


def _measure_share(
    again: Again,
    share: jobs.Shard,
    json: bool,
    rehash: bool,
    workers: int | None,
    cluster: str | None,
) -> None:
    tell_unread_house([again.target], list(again.asked.roots), again.asked.house)
    with progress_bar("measuring") as progress:
        measured = workflow.measure_share(
            again.target,
            share,
            roots=again.asked.roots,
            house=again.asked.house,
            verify=rehash,
            progress=progress,
            workers=workers,
            cluster=cluster,
        )
    if json:
        print_document(
            "primecoat.measured/1",
            shard=f"{share.number}/{share.count}",
            images=[
                {"path": printable(path), "sha256": m.sha256, "problem": printable(m.problem)}
                for path, m in measured.items()
            ],
        )
        return
    for path, measure in measured.items():
        print(printable(f"{path}: {measure.problem or 'measured'}"))
    print(f"{counted(len(measured), 'picture')} measured, share {share.number} of {share.count}.")
    print(f"When all shares are done: {printable(again.command('survey'))}")


def why(
    image: Annotated[Path, typer.Argument(help="The image.", show_default=False)],
    target: Annotated[
        Path | None,
        typer.Option(
            "--in", help="Scene or folder to judge it in; by default a scene nearby that uses it."
        ),
    ] = None,
    json: AsJson = False,
    root: Roots = None,
    house: HouseFile = None,
    without: Without = "",
) -> None:
    """Tell one image's whole story: each witness, its words and its weight."""
    from primecoat.report import terminal
    from primecoat.report.survey_document import why_document

    place = target or _place_of(image)
    found = surveyed(place, root, None, None, None, without, house=house)
    story = workflow.why(found, str(image))
    if json:
        print(dumps(why_document(story, found.findings)), end="")
    else:
        own = [f for f in found.findings if f.where == story.record.path]
        terminal.show(terminal.why_view(story, own))


def decide(
    target: Target,
    image: Annotated[str, typer.Argument(help="Path as in the survey.", show_default=False)],
    reading: Annotated[
        str,
        typer.Argument(
            help="Color Interop ID, 'data', or 'unknown' to take a word back.",
            show_default=False,
            autocompletion=one_of((*READINGS, UNKNOWN)),
        ),
    ],
    because: Annotated[str, typer.Option("--because", help="The reason, for later.")] = "",
    root: Roots = None,
    house: HouseFile = None,
) -> None:
    """Record a person's word on how one image must be read."""
    from primecoat.reading.two_ways import FILE_EACH, two_ways_words, wanted_two_ways

    found = surveyed(target, root, None, None, None, "", house=house)
    decision = workflow.decide(found, image, reading, because=because)
    print(
        f"{decision.image} is {decision.reading}, because you say so."
        if decision
        else f"The word on {image} is taken back."
    )
    for words in workflow.passed_over(found, decision.image, reading) if decision else ():
        print(f"But: {printable(words)}")
    for known in found.readings.images:
        if decision and known.record.path == decision.image and (wanted := wanted_two_ways(known)):
            print(printable(f"This it does not settle: {two_ways_words(wanted)} {FILE_EACH}"))


def _place_of(image: Path) -> Path:
    """Return a scene that uses an image, else the image's folder; name it on stderr."""
    scenes = workflow.scenes_using(image)
    if len(scenes) > 1:
        others = ", ".join(printable(str(s)) for s in scenes[1:])
        print(f"primecoat: judged in {scenes[0]}; also used by {others}.", file=sys.stderr)
    return scenes[0] if scenes else image.parent
