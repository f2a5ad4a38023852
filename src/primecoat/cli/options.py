"""Options that several verbs share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from primecoat.cli.values import built_in_configs, some_of, space_option
from primecoat.reading.evidence import WITNESSES

Target = Annotated[Path, typer.Argument(help="Scene file or folder.", show_default=False)]
AsJson = Annotated[bool, typer.Option("--json", help="One JSON document on stdout, no more.")]
Roots = Annotated[
    list[Path] | None,
    typer.Option("--root", help="Folder the scene may reach; can be given again."),
]
FromSpace = Annotated[
    str | None,
    space_option("--from", "Working space the scene was made in."),
]
SceneTo = Annotated[
    str | None,
    space_option("--to", "Working space it moves to; by default lin_ap1_scene."),
]
ToSpace = Annotated[str, space_option("--to", "Working space it moves to.")]
Config = Annotated[
    str | None,
    typer.Option(
        "--config",
        help="OpenColorIO config: built-in name or file.",
        metavar="CONFIG",
        autocompletion=built_in_configs,
    ),
]
HouseFile = Annotated[
    str | None,
    typer.Option(
        "--house",
        help="House conventions, or 'none'; by default a primecoat.toml beside the scene.",
        metavar="FILE",
    ),
]
Without = Annotated[
    str,
    typer.Option(
        "--without",
        help="Witnesses to leave unheard, with commas.",
        metavar="WITNESSES",
        autocompletion=some_of(WITNESSES),
    ),
]
Rehash = Annotated[
    bool, typer.Option("--rehash", help="Hash every file again; believe no size or date.")
]
Workers = Annotated[
    int | None,
    typer.Option("--workers", help="Processes to work with; by default all cores where that pays."),
]
Cluster = Annotated[
    str | None,
    typer.Option(
        "--cluster",
        help="Dask scheduler to work on, such as tcp://kiln:8786; 'local' starts one.",
        metavar="ADDRESS",
    ),
]
Share = Annotated[
    str | None,
    typer.Option(
        "--shard",
        help="Do only share i of n of the heavy work, such as 2/8.",
        metavar="I/N",
    ),
]
