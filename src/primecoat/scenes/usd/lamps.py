"""Lights whose colour is multiplied by that of a temperature.

A renderer that is handed ``inputs:colorTemperature`` looks its RGB up in a table made for Rec.709
(``UsdLuxBlackbodyTemperatureAsRgb``), and multiplies a colour of another working space by it. So
a switch writes the product into ``inputs:color``, in a space that is said beside it, and sets
``inputs:enableColorTemperature`` to false. The temperature itself stays, for whoever goes back.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES
from primecoat.colour.lamp import lamp_rgb
from primecoat.errors import RefusedError
from primecoat.scenes.model import Edit
from primecoat.scenes.usd import door

Triple = tuple[float, float, float]

LIGHT_COLOUR = "inputs:color"
TEMPERATURE = "inputs:colorTemperature"
USES_TEMPERATURE = "inputs:enableColorTemperature"
PARTS = (LIGHT_COLOUR, TEMPERATURE, USES_TEMPERATURE)

OFF = "off"
_DEFAULT = 6500.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LampSample:
    """Colour and temperature of a light at a time.

    Parameters
    ----------
    time
        None for the value that holds at no special time.
    kelvin
        None where the temperature is not applied.
    """

    time: float | None
    colour: Triple
    kelvin: float | None


def kelvin_of(prim: Any) -> float | None:
    """Return the (first) temperature of a light; None if none is ever applied."""
    enabled = prim.GetAttribute(USES_TEMPERATURE)
    if not enabled or not any(_at(enabled, time) for time in (None, *enabled.GetTimeSamples())):
        return None
    given = prim.GetAttribute(TEMPERATURE)
    first = given.GetTimeSamples()[:1] if given else []
    value = _at(given, first[0] if first else None) if given else None
    return float(value) if value is not None else _DEFAULT


def lamp_samples(prim: Any) -> tuple[LampSample, ...]:
    """Return colour and temperature of a light at every time that either is written for.

    Empty if one of them is connected, or the temperature is switched on and off by time: what is
    between two samples would then not be what it was. Otherwise a straight line between two
    products stands for what was the product of two lines.
    """
    colour, temperature, enabled = (prim.GetAttribute(name) for name in PARTS)
    parts = [part for part in (colour, temperature, enabled) if part]
    if any(part.HasAuthoredConnections() for part in parts):
        return ()
    if len({bool(_at(enabled, time)) for time in enabled.GetTimeSamples()}) > 1:
        return ()
    times = sorted({time for part in parts for time in part.GetTimeSamples()})
    wanted: list[float | None] = [*times]
    if not times or _has_plain(colour):
        wanted.insert(0, None)
    return tuple(_sample(colour, temperature, enabled, time) for time in wanted)


def _sample(colour: Any, temperature: Any, enabled: Any, time: float | None) -> LampSample:
    red, green, blue = (float(v) for v in _at(colour, time) or (1.0, 1.0, 1.0))
    applied = bool(_at(enabled, time if enabled.GetNumTimeSamples() else None))
    value = _at(temperature, time) if temperature else None
    kelvin = float(value) if value is not None else _DEFAULT
    return LampSample(time=time, colour=(red, green, blue), kelvin=kelvin if applied else None)


def stands_plainly(prim: Any) -> bool:
    """Whether the colour of a light stands in the scene's own layers outside all variants.

    Then it rules in every variant, and no product can be written for one of them alone.
    """
    own = prim.GetStage().GetLayerStack(includeSessionLayers=False)
    attribute = prim.GetAttribute(LIGHT_COLOUR)
    return any(
        spec.layer in own and not spec.path.ContainsPrimVariantSelection()
        for spec in attribute.GetPropertyStack(door.Usd.TimeCode.Default())
        if spec.HasInfo("default") or spec.HasInfo("timeSamples")
    )


def temperature_words(prim: Any) -> str:
    """Return what an edit says of a light's temperature: ``on at 3200 K``, or ``off``."""
    if kelvin_of(prim) is None:
        return OFF
    return switched_on([s.kelvin for s in lamp_samples(prim) if s.kelvin is not None])


def switch_edit(place: str, samples: tuple[LampSample, ...]) -> Edit:
    """Return the edit that switches a temperature off.

    Parameters
    ----------
    place
        Place of the light's colour.
    """
    before = switched_on([s.kelvin for s in samples if s.kelvin is not None])
    where = f"{place.removesuffix(LIGHT_COLOUR)}{USES_TEMPERATURE}/value"
    return Edit(place=where, before=before, after=OFF)


def switched_on(kelvins: list[float]) -> str:
    """Return the words for temperatures that are applied.

    Examples
    --------
    >>> switched_on([3200.0]), switched_on([6500.0, 2700.0])
    ('on at 3200 K', 'on at 2700 to 6500 K')
    """
    if not kelvins:
        return "on"
    least, most = min(kelvins), max(kelvins)
    return f"on at {least:g} K" if least == most else f"on at {least:g} to {most:g} K"


def switch_off(spec: Any, edit: Edit) -> None:
    """Write that a light's temperature is not applied.

    Raises
    ------
    RefusedError
        If the edit is not to switch it off.
    """
    if edit.after != OFF:
        raise RefusedError(f"A temperature cannot be made {edit.after!r}.", "Make a new plan.")
    spec.ClearInfo("timeSamples")
    spec.default = False


def write_product(prim: Any, spec: Any, edit: Edit) -> None:
    """Write the product of colour and temperature, at every time.

    Parameters
    ----------
    edit
        ``before`` names the space of the colours and the space to multiply in.

    Raises
    ------
    RefusedError
        If the edit names no spaces.
    """
    samples = lamp_samples(prim)
    spaces = edit.before.split()
    if len(spaces) != 2 or not {*spaces, edit.after} <= set(SPACES):
        raise RefusedError(f"{edit.before!r} names no two colour spaces.", "Make a new plan.")
    kind = prim.GetAttribute(LIGHT_COLOUR).GetTypeName().type.pythonClass
    rows = product_of(samples, spaces[0], spaces[1], edit.after)
    for sample, row in zip(samples, rows.tolist(), strict=True):
        if sample.time is None:
            spec.default = kind(*row)
        else:
            spec.layer.SetTimeSample(spec.path, sample.time, kind(*row))


def product_of(
    samples: tuple[LampSample, ...], space: str, made_in: str, to_space: str
) -> NDArray[np.float64]:
    """Return the products of some samples; shape (n, 3)."""
    colours = [sample.colour for sample in samples]
    return lamp_rgb(colours, [s.kelvin for s in samples], space, made_in, to_space)


def _at(attribute: Any, time: float | None) -> Any:
    return attribute.Get() if time is None else attribute.Get(time)


def _has_plain(attribute: Any) -> bool:
    """Whether a value stands in the stage that holds at no special time."""
    source = attribute.GetResolveInfo(door.Usd.TimeCode.Default()).GetSource()
    return bool(source == door.Usd.ResolveInfoSourceDefault)
