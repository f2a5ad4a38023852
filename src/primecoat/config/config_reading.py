"""What a config reads every file of a scene as, and whether that is how it must be read."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
import PyOpenColorIO as ocio
from numpy.typing import NDArray

from primecoat.checks.survey import Survey
from primecoat.colour.ids import DATA, UNKNOWN
from primecoat.colour.ocio import load_config
from primecoat.config.agreement import (
    KINDS,
    VERDICTS,
    Verdict,
    agrees,
    kind_of,
    leaves_open,
    reads_as,
)
from primecoat.config.config_rows import ConfigReading, ConfigRow, PathReading
from primecoat.config.file_reading import read_path
from primecoat.config.identify import identify
from primecoat.config.identity import Identity
from primecoat.config.misread_data import DataCost, data_cost
from primecoat.config.misreading import ColourCost, Window, colour_cost, window_of
from primecoat.config.paths import handed_over, written
from primecoat.config.wants import Want, all_wants
from primecoat.errors import UseError
from primecoat.inventory import Measure
from primecoat.inventory.model import shown_path
from primecoat.reading.judgement import ImageReading

_EXTREMES = 6
"""Colours at the end of a picture's kept ones that are its extremes, not even samples."""

_ALPHA_ONLY = "Only its alpha channel is used, which no colour space touches."


def read_config(
    survey: Survey,
    config: str,
    *,
    display: str | None = None,
    view: str | None = None,
    costs: bool = True,
) -> ConfigReading:
    """Return what a config reads every file of a scene as.

    Parameters
    ----------
    survey
        The scene, read.
    config
        Built-in name or path of the config in question, not that of the survey.
    display, view
        Through what costs are seen; by default the config's first.
    costs
        Whether to work out what misreadings cost.

    Raises
    ------
    InputError, UseError
        If the config cannot be loaded or asked, or has no such display or view.
    """
    asked = _Asked(load_config(config), survey)
    window = _window(config, display, view)
    readings = survey.readings
    rows = [
        asked.row(image, file, measure, texts, window if costs else None)
        for image in readings.images
        for texts in (written(image.record),)
        for file, measure in image.record.members
    ]
    rows.sort(key=lambda row: (VERDICTS.index(row.verdict), KINDS.index(row.kind)))
    silent = tuple(
        (image.record.path, _why_silent(image))
        for image in readings.images
        if not image.record.files
    )
    return ConfigReading(config=config, window=window, rows=tuple(rows), silent=silent)


def _window(config: str, display: str | None, view: str | None) -> Window | None:
    try:
        return window_of(config, display, view)
    except UseError:
        if display or view:
            raise
        return None


def _why_silent(image: ImageReading) -> str:
    if image.record.embedded is not None:
        return "it lies inside the scene file and has no name, so no file rule can speak"
    return "there is no file"


@dataclass(slots=True)
class _Asked:
    """A config that is being asked; spaces are identified once each."""

    config: ocio.Config
    survey: Survey
    wants: dict[Path, tuple[Want, ...]] = field(init=False)
    identities: dict[str, Identity] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.wants = all_wants(self.survey.readings.images)

    def row(
        self,
        image: ImageReading,
        file: Path,
        measure: Measure,
        texts: tuple[str, ...],
        window: Window | None,
    ) -> ConfigRow:
        roots = self.survey.readings.inventory.roots
        wants = self.wants[file]
        names = handed_over(file, texts or (shown_path(file, roots),))
        first, *others = (self._path(image, wants, name) for name in names)
        elsewise = tuple(p for p in others if p.reading.space != first.reading.space)
        paths = (first, *elsewise)
        worst = min(paths, key=lambda p: VERDICTS.index(p.verdict))
        row = ConfigRow(
            image=image.record.path,
            file=shown_path(file, roots),
            wanted=image.reading,
            standing=image.standing,
            wants=wants,
            by_path=first,
            elsewise=elsewise,
            verdict=worst.verdict,
        )
        return self._explained(row, image, measure, worst, window)

    def _path(self, image: ImageReading, wants: tuple[Want, ...], path: str) -> PathReading:
        reading = read_path(self.config, path)
        if reading.space not in self.identities:
            self.identities[reading.space] = identify(self.config, reading.space)
        identity = self.identities[reading.space]
        left_open = leaves_open(self.config, identity)
        return PathReading(
            reading=reading,
            identity=identity,
            left_open=left_open,
            verdict=self._verdict(image, wants, identity, left_open=left_open),
        )

    def _verdict(
        self, image: ImageReading, wants: tuple[Want, ...], identity: Identity, *, left_open: bool
    ) -> Verdict:
        if image.reading == UNKNOWN:
            return "cannot say"
        if not wants:
            return "agrees"
        if left_open:
            return "left open"
        served = [agrees(self.config, want.reading, identity) for want in wants]
        if False in served:
            return "misread"
        return "cannot say" if None in served else "agrees"

    def _explained(
        self,
        row: ConfigRow,
        image: ImageReading,
        measure: Measure,
        worst: PathReading,
        window: Window | None,
    ) -> ConfigRow:
        words = _conflict_words(row.wants)
        if row.verdict == "cannot say":
            return replace(row, words=words or (_why_unsaid(image, worst),))
        if not row.wants:
            return replace(row, words=(_ALPHA_ONLY,))
        if row.verdict != "misread":
            return replace(row, words=words)
        wanted = next(
            want.reading
            for want in row.wants
            if agrees(self.config, want.reading, worst.identity) is False
        )
        row = replace(row, kind=kind_of(wanted, reads_as(worst.identity)), words=words)
        if window is None:
            return row
        try:
            return replace(row, cost=_cost(window, wanted, worst, image, measure))
        except UseError as error:
            return replace(row, words=(*words, f"What that costs is not known: {error.message}"))


def _cost(
    window: Window, wanted: str, path: PathReading, image: ImageReading, measure: Measure
) -> ColourCost | DataCost:
    read = path.identity.local_name or path.reading.space
    if wanted != DATA:
        return colour_cost(window, wanted, read, _sample(measure)[:-_EXTREMES])
    normal = image.content == "normal" or any(
        use.scene_use.use.slot == "normal" for use in image.uses
    )
    sample = _sample(measure)
    return data_cost(window.config, window.linear, read, sample, normal=normal)


def _sample(measure: Measure) -> NDArray[np.float64]:
    """Return the pixels kept by the survey: even ones first, then the extremes."""
    colours = measure.statistics.colours if measure.statistics else ()
    return np.array(colours, dtype=np.float64).reshape(-1, 3)


def _conflict_words(wants: tuple[Want, ...]) -> tuple[str, ...]:
    if len(wants) < 2:
        return ()
    said = "; ".join(f"{want.reading} by {want.who}" for want in wants)
    return (
        f"It is wanted as {said}. A file has one name and so one reading: no file rule can "
        "serve both. Give each its own file.",
    )


def _why_unsaid(image: ImageReading, path: PathReading) -> str:
    if image.reading == UNKNOWN:
        return f"How it must be read is {image.standing}."
    return f"{path.reading.space} cannot be compared: {path.identity.words}."
