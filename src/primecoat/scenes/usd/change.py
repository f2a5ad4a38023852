"""One edit of a stage, made in a layer: asset paths, declarations, colours."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES, reading_named
from primecoat.colour.ocio import convert
from primecoat.errors import RefusedError
from primecoat.scenes.model import Edit
from primecoat.scenes.usd import door
from primecoat.scenes.usd.declarations import SOURCE, source_colour_space
from primecoat.scenes.usd.lamps import (
    USES_TEMPERATURE,
    switch_off,
    temperature_words,
    write_product,
)
from primecoat.scenes.usd.places import Choice
from primecoat.scenes.usd.shaders import category_of, file_inputs, has_source_colour_space
from primecoat.scenes.usd.source_space import MEANING, source_word, why_not
from primecoat.scenes.usd.spaces import RENDERING, own_space
from primecoat.scenes.usd.targets import Target
from primecoat.scenes.usd.terminal import terminal
from primecoat.scenes.usd.walk import identifier_of

Rows = NDArray[np.float64]


class Specs(Protocol):
    """Gives the prim spec that holds opinions on a prim, in some variants."""

    def prepare(self, path: Any) -> None:
        """Look at the way to a prim while no variant is selected for it."""

    def spec(self, path: Any, choices: tuple[Choice, ...]) -> Any:
        """Return the spec; None if there can be none."""


def check_before(stage: Any, target: Target, edit: Edit, effective: str) -> None:
    """Refuse an edit whose place does not hold what was planned for.

    Parameters
    ----------
    effective
        Colour space in force at the attribute, for declarations.

    Raises
    ------
    RefusedError
        If the stage is not as it was.
    """
    attribute = stage.GetAttributeAtPath(target.path)
    found: tuple[str, ...]
    if not attribute:
        found = ()
        if target.path.name == RENDERING and stage.GetPrimAtPath(target.path.GetPrimPath()):
            found = ("",)
    elif target.what == "asset":
        found = (_written(_asset(attribute, target)),)
    elif target.what == "colorSpace":
        found = (own_space(attribute) or effective, own_space(attribute))
    elif target.path.name == RENDERING:
        found = (str(attribute.Get() or ""),)
    elif target.path.name == USES_TEMPERATURE:
        found = (temperature_words(attribute.GetPrim()),)
    elif target.what == "value":
        found = tuple(" ".join(f"{v:.9g}" for v in r) for r in _all_rows(attribute))
    else:
        found = (edit.before,)
    if edit.before not in found:
        raise RefusedError(
            f"At {edit.place} the scene says {(found[0] if found else 'nothing')!r:.80}, "
            f"but {edit.before!r:.80} was planned for.",
            "The scene has changed: make a new plan.",
        )


def make(stage: Any, target: Target, edit: Edit, specs: Specs) -> None:
    """Write one edit.

    Parameters
    ----------
    stage
        The stage as it is, with the target's variants selected.
    specs
        Where to write.

    Raises
    ------
    RefusedError
        If the edit cannot be made.
    """
    attribute = stage.GetAttributeAtPath(target.path)
    if target.path.name == RENDERING:
        _set_rendering(target, edit, specs)
    elif target.what == "asset":
        _set_asset(attribute, target, edit, specs)
    elif target.what == "colorSpace":
        declare(stage, attribute, target, edit.after, specs)
    elif target.path.name == USES_TEMPERATURE:
        switch_off(_attribute_spec(attribute, target, specs), edit)
    elif target.what == "product":
        write_product(attribute.GetPrim(), _attribute_spec(attribute, target, specs), edit)
    elif target.what == "value":
        new = [float(number) for number in edit.after.split()]
        if len(new) != 3:
            raise RefusedError(
                f"{target.path} cannot be given {edit.after!r:.80}: that is no colour of three "
                "numbers.",
                "Make a new plan, or write red, green and blue with spaces between them.",
            )
        _rewrite(attribute, target, specs, lambda rows: np.array([new] * len(rows)))
    else:
        _check_spaces(target, edit)
        _rewrite(attribute, target, specs, lambda rows: _converted(rows, edit))


def declare(stage: Any, attribute: Any, target: Target, space: str, specs: Specs) -> None:
    """Write the colour space of an attribute; for a texture all that has to agree with it."""
    reading = reading_named(space) or space
    readers = list(_readers(stage, attribute)) if _is_asset(attribute) else []
    why = why_not(reading, texture_reader=bool(readers))
    if not why and not door.Gf.ColorSpace.IsValid(reading):
        why = f"OpenUSD knows no colour space {reading}"
    if why:
        raise RefusedError(
            f"{target.path} cannot be declared {reading}: {why}.",
            "Use the tag route for this picture, or bake it.",
        )
    _attribute_spec(attribute, target, specs).colorSpace = reading
    word = source_word(reading)
    for prim in readers:
        if word and source_colour_space(stage, prim, identifier_of(prim)) != word:
            _set_source(prim, target, word, specs)


def effective_declaration(stage: Any, attribute: Any) -> str:
    """Return what ``sourceColorSpace`` declares for a picture that has no ``colorSpace``."""
    for prim in _readers(stage, attribute):
        word = source_colour_space(stage, prim, identifier_of(prim))
        return word if word in MEANING else ""
    return ""


def _set_rendering(target: Target, edit: Edit, specs: Specs) -> None:
    reading = reading_named(edit.after) or edit.after
    if reading not in SPACES or not door.Gf.ColorSpace.IsValid(reading):
        raise RefusedError(
            f"{reading} cannot be the rendering colour space of {target.path.GetPrimPath()}: "
            "OpenUSD has no space of that name.",
            "Switch to a scene-linear space that it has, such as lin_ap1_scene.",
        )
    home = _prim_spec(target, target.path.GetPrimPath(), specs)
    spec = home.attributes.get(RENDERING) or door.Sdf.AttributeSpec(
        home, RENDERING, door.Sdf.ValueTypeNames.Token, door.Sdf.VariabilityUniform
    )
    spec.default = reading


def _set_asset(attribute: Any, target: Target, edit: Edit, specs: Specs) -> None:
    spec = _attribute_spec(attribute, target, specs)
    new: Any = door.Sdf.AssetPath(edit.after)
    if target.item is not None:
        items = list(attribute.Get() if target.time is None else attribute.Get(target.time))
        before = _own_items(spec, target)
        if before is not None:
            items = list(before)
        items[target.item] = new
        new = door.Sdf.AssetPathArray([door.Sdf.AssetPath(_written(i)) for i in items])
    if target.time is None:
        spec.default = new
        return
    if not spec.HasInfo("timeSamples"):
        for time in attribute.GetTimeSamples():
            value = attribute.Get(time)
            spec.layer.SetTimeSample(spec.path, time, _as_written(value))
    spec.layer.SetTimeSample(spec.path, target.time, new)


def _own_items(spec: Any, target: Target) -> Any:
    if target.time is None:
        return spec.default if spec.HasInfo("default") else None
    found = spec.layer.QueryTimeSample(spec.path, target.time)
    return found if isinstance(found, door.Sdf.AssetPathArray) else None


def _as_written(value: Any) -> Any:
    if isinstance(value, door.Sdf.AssetPath):
        return door.Sdf.AssetPath(_written(value))
    return door.Sdf.AssetPathArray([door.Sdf.AssetPath(_written(item)) for item in value])


def _set_source(prim: Any, target: Target, word: str, specs: Specs) -> None:
    """Write ``sourceColorSpace``; where it is connected, at the texture itself instead."""
    home = _prim_spec(target, prim.GetPath(), specs)
    attribute = prim.GetAttribute(SOURCE)
    kind = attribute.GetTypeName() if attribute else door.Sdf.ValueTypeNames.Token
    spec = home.attributes.get(SOURCE) or door.Sdf.AttributeSpec(home, SOURCE, kind)
    spec.default = word
    if attribute and attribute.GetConnections():
        spec.connectionPathList.ClearEditsAndMakeExplicit()


def _rewrite(attribute: Any, target: Target, specs: Specs, change: Callable[[Rows], Rows]) -> None:
    """Give the colours of an attribute other numbers, at every time; alpha stays."""
    spec = _attribute_spec(attribute, target, specs)
    single = attribute.Get()
    if single is not None:
        spec.default = _changed(attribute, single, change)
    if attribute.GetNumTimeSamples():
        for time in attribute.GetTimeSamples():
            value = attribute.Get(time)
            if value is not None:
                new = _changed(attribute, value, change)
                spec.layer.SetTimeSample(spec.path, time, new)


def _changed(attribute: Any, value: Any, change: Callable[[Rows], Rows]) -> Any:
    kind = attribute.GetTypeName().type.pythonClass
    rows = np.asarray(value, dtype=np.float64)
    if rows.size == 0:
        return value
    flat = rows.reshape(-1, rows.shape[-1]).copy()
    flat[:, :3] = change(flat[:, :3])
    if rows.ndim == 1:
        return kind(*flat[0].tolist())
    return kind.FromNumpy(flat.astype(np.asarray(value).dtype))


def _check_spaces(target: Target, edit: Edit) -> None:
    if edit.before not in SPACES or edit.after not in SPACES:
        raise RefusedError(
            f"The colours of {target.path} cannot be converted from {edit.before!r:.80} to "
            f"{edit.after!r:.80}: both have to be Color Interop IDs of colour spaces.",
            "Make a new plan, or correct the ids.",
        )


def _converted(rows: Rows, edit: Edit) -> Rows:
    return convert(rows, edit.before, edit.after).astype(np.float64)


def _attribute_spec(attribute: Any, target: Target, specs: Specs) -> Any:
    home = _prim_spec(target, target.path.GetPrimPath(), specs)
    found = home.attributes.get(target.path.name)
    if found:
        return found
    return door.Sdf.AttributeSpec(
        home,
        attribute.GetName(),
        attribute.GetTypeName(),
        attribute.GetVariability(),
        attribute.IsCustom(),
    )


def _prim_spec(target: Target, path: Any, specs: Specs) -> Any:
    spec = specs.spec(path, target.choices)
    if not spec:
        raise RefusedError(
            f"{path} does not stand in this layer; it comes from another one.",
            "Leave out --in-place: a layer above then holds the changes.",
        )
    return spec


def _readers(stage: Any, attribute: Any) -> Iterator[Any]:
    """Yield the texture readers with ``sourceColorSpace`` that take their picture from here."""
    home = attribute.GetPrim()
    for prim in [home] if home.GetTypeName() == "Shader" else door.Usd.PrimRange(home):
        if prim.GetTypeName() != "Shader":
            continue
        category = category_of(identifier_of(prim))
        if not has_source_colour_space(category):
            continue
        for short in file_inputs(category):
            given = prim.GetAttribute(f"inputs:{short}")
            if given and terminal(stage, given).GetPath() == attribute.GetPath():
                yield prim


def _is_asset(attribute: Any) -> bool:
    names = door.Sdf.ValueTypeNames
    return attribute.GetTypeName() in (names.Asset, names.AssetArray)


def _asset(attribute: Any, target: Target) -> Any:
    value = attribute.Get() if target.time is None else attribute.Get(target.time)
    if target.item is None:
        return value
    return value[target.item] if value is not None and target.item < len(value) else None


def _written(asset: Any) -> str:
    return (getattr(asset, "authoredPath", "") or asset.path) if asset is not None else ""


def _all_rows(attribute: Any) -> Iterator[Any]:
    times = attribute.GetTimeSamples() if attribute.GetNumTimeSamples() else []
    for value in (attribute.Get(), *(attribute.Get(time) for time in times)):
        if value is not None:
            rows = np.asarray(value, dtype=np.float64)
            yield from rows.reshape(-1, rows.shape[-1])[:, :3].tolist()
