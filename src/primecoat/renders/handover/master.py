"""One master, opened: what is handed over of it, what is left out, and what is refused."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from primecoat.errors import RefusedError
from primecoat.images.colour_layers import colour_layers
from primecoat.images.oiio_stream import read_parts
from primecoat.images.part import Part
from primecoat.renders.frame import Frame, open_frame
from primecoat.renders.handover.recipe import Recipe

_NAMED = 8
"""Most channels that a message names."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Master:
    """One master.

    Parameters
    ----------
    frame
        What is handed over.
    part
        The part that it stands in.
    left_out
        Channels beside it, as ``part/channel`` where there are several parts.
    """

    frame: Frame
    part: Part
    left_out: tuple[str, ...]


def open_master(path: Path, recipe: Recipe) -> Master:
    """Return a master.

    Raises
    ------
    UseError
        If nobody says its space, or it has no such layer or part.
    ImageError
        If it cannot be read.
    RefusedError
        If it has been through a view already, holds more than is handed over, or has alpha or a
        place in its frame that the format cannot say.
    """
    frame = open_frame(
        path,
        space=recipe.space,
        layer=recipe.layer,
        part=recipe.part,
        config=recipe.config,
        option="--in SPACE",
    )
    parts = read_parts(path)
    part = parts[frame.part]
    master = Master(frame=frame, part=part, left_out=_beside(frame, parts))
    _refuse_seen(frame, recipe)
    if frame.alpha and not recipe.alpha_dropped and not recipe.kind.holds_alpha:
        raise RefusedError(
            f"{path} has alpha, and JPEG holds none.",
            "Put light behind it: --over R,G,B (ACEScg; 0,0,0 is black), or leave alpha out and "
            "colour as it stands: --drop-alpha.",
        )
    _refuse_more(master, parts, recipe)
    window = part.window or (0, 0, part.width, part.height)
    if recipe.kind.ending != ".exr" and (*part.origin, part.width, part.height) != window:
        raise RefusedError(
            f"{path} holds {part.width} x {part.height} pixels from {part.origin[0]}, "
            f"{part.origin[1]} of a frame of {window[2]} x {window[3]} from {window[0]}, "
            f"{window[1]}, and {recipe.kind.ending} files cannot say so.",
            "Render the whole frame without overscan or crop, or hand over OpenEXR.",
        )
    return master


def _refuse_seen(frame: Frame, recipe: Recipe) -> None:
    if not frame.display_referred or (
        recipe.kind.seen and frame.space == recipe.kind.space and recipe.look is None
    ):
        return
    what = f"{frame.path} is display-referred ({frame.space}): it has been through its view"
    if recipe.kind.seen:
        raise RefusedError(
            f"{what}, and a second one would change it again.",
            "Hand over the scene-linear render, or as a kind for that display.",
        )
    raise RefusedError(
        f"{what}, and {recipe.kind.name} holds the light of the scene.",
        "Hand over the scene-linear render; a picture that was made on a display is taken back "
        "to light with 'primecoat plan --route bake --against'.",
    )


def _refuse_more(master: Master, parts: tuple[Part, ...], recipe: Recipe) -> None:
    frame = master.frame
    if not master.left_out or recipe.leave_out:
        return
    count = sum(len(colour_layers(part.channels)) for part in parts)
    unnamed = bool(frame.layer) and not recipe.layer and count > 1
    if recipe.kind.seen and not unnamed:
        return
    names = ", ".join(master.left_out[:_NAMED])
    more = " …" if len(master.left_out) > _NAMED else ""
    raise RefusedError(
        f"{frame.path} holds more than one picture: beside {_name(frame)} there are {names}{more}.",
        "Name the layer that is meant (--layer) if it is another, and say --leave-out for the "
        "rest; all layers are kept by 'primecoat plan --route bake'.",
    )


def _name(frame: Frame) -> str:
    return f"the layer {frame.layer}" if frame.layer else "the layer without a name"


def _beside(frame: Frame, parts: tuple[Part, ...]) -> tuple[str, ...]:
    return tuple(
        f"{number}/{name}" if len(parts) > 1 else name
        for number, part in enumerate(parts)
        for index, name in enumerate(part.channels)
        if number != frame.part or index not in frame.channels
    )
