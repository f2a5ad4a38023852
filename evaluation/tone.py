"""How often a baked-in tone curve is told, and how often one is suspected that is not there.

``python -m evaluation.tone [--count N] [--seed N]`` lights made-up surfaces and scenes, exposes
them, and encodes each plainly, cut off at white, and through published tone scales. It prints hit
and false-alarm rates of finding PC311 over its two limits.
"""

from __future__ import annotations

import argparse
import io
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from PIL import Image

from evaluation.contents import choose, maps, photograph
from evaluation.contents.content import Floats, Rng
from evaluation.contents.surface import grain, weathered
from primecoat.checks.tone_curve import LEAST_ALIKE, LEAST_UNEVEN, looks_curved
from primecoat.colour.ocio import through_view
from primecoat.images.curves import light_to_srgb
from primecoat.images.pixel_sample import WINDOW, window_starts
from primecoat.images.tone_shape import ToneShape, measure_tone

_SHAPE = (160, 160)
_LUMA = np.array([0.2126, 0.7152, 0.0722], np.float32)
"""Weights of luminance. Source: ITU-R BT.709."""

_VIEWS = {
    "aces_1": ("cg-config-v2.1.0_aces-v1.3_ocio-v2.3", "ACES 1.0 - SDR Video"),
    "aces_2": ("cg-config-v4.0.0_aces-v2.0_ocio-v2.5", "ACES 2.0 - SDR 100 nits (Rec.709)"),
}
WITHOUT = ("albedo", "plain", "clipped")
"""Ways that bake no curve in."""

ON_EACH_CHANNEL = ("aces_1", "aces_2", "reinhard_channels", "exponential")
ON_LUMINANCE = ("reinhard_luminance", "logarithmic")

UNEVEN = (1.02, 1.05, 1.08, 1.1, 1.15, 1.2)
ALIKE = (0.5, 0.6, 0.7, 0.8, 0.9)


@dataclass(frozen=True, slots=True, kw_only=True)
class Developed:
    """One picture: what it shows, the way it was developed, and what was measured."""

    subject: str
    way: str
    lossy: bool
    tone: ToneShape | None


def develop(light: Floats, way: str) -> Floats:
    """Return codes, 0 to 1, of scene-linear Rec.709 light of shape (height, width, 3).

    ``plain`` scales the brightest value to white and ``clipped`` cuts off at 1; the others are
    ACES 1 and 2 for standard displays as OpenColorIO has them, and, sRGB-encoded:
    Reinhard, Stark, Shirley and Ferwerda, *Photographic tone reproduction for digital images*,
    SIGGRAPH 2002, equation 4, on each channel or on luminance; ``1 - exp(-light)`` (Reinhard and
    others, *High dynamic range imaging*, 2nd ed., on exponential mapping; formula from memory);
    Drago, Myszkowski, Annen and Chiba, *Adaptive logarithmic mapping for displaying high contrast
    scenes*, Eurographics 2003, bias 0.85 (formula from memory).
    """
    if way in _VIEWS:
        config, view = _VIEWS[way]
        return through_view(light, "lin_rec709_scene", "sRGB - Display", view, config)
    luminance = (light @ _LUMA)[..., None]
    most = max(1.5, float(light.max()))
    if way == "plain":
        light = light / max(1.0, float(light.max()))
    elif way == "reinhard_channels":
        light = light * (1 + light / most**2) / (1 + light)
    elif way == "reinhard_luminance":
        light = light * (1 + luminance / most**2) / (1 + luminance)
    elif way == "exponential":
        light = 1 - np.exp(-light)
    elif way == "logarithmic":
        peak = float(luminance.max())
        part = (luminance / peak) ** (np.log(0.85) / np.log(0.5))
        shown = np.log(luminance + 1) / np.log(2 + 8 * part) / np.log10(peak + 1)
        light = light * shown / np.maximum(luminance, 1e-6)
    return np.asarray(light_to_srgb(np.clip(light, 0, 1)))


def pictures(count: int, seed: int) -> Iterator[Developed]:
    """Yield pictures, each in all ways; every second one is a surface, also as bare albedo."""
    rng = np.random.default_rng(seed)
    for number in range(count):
        if number % 2 == 0:
            subject, albedo = "surface", _albedo(rng)
            yield _developed(rng, subject, albedo, "albedo")
            light = _lit(rng, albedo)
        else:
            subject, light = "scene", photograph.scene(rng, _SHAPE)[..., :3]
        light = np.maximum(light, 0)
        exposure = 2 ** rng.uniform(-0.5, 2) / np.quantile(light.max(axis=2), 0.95)
        light = np.asarray(light * exposure, np.float32)
        for way in ("plain", "clipped", *ON_EACH_CHANNEL, *ON_LUMINANCE):
            yield _developed(rng, subject, light, way)


def told(tone: ToneShape | None, uneven: float = LEAST_UNEVEN, alike: float = LEAST_ALIKE) -> bool:
    """Whether a measure is beyond these limits."""
    return tone is not None and looks_curved(tone, uneven=uneven, alike=alike)


def rates(
    found: tuple[Developed, ...], uneven: float = LEAST_UNEVEN, alike: float = LEAST_ALIKE
) -> dict[tuple[str, str], tuple[int, int]]:
    """Return how many of how many are told, by way and subject."""
    counts: dict[tuple[str, str], list[bool]] = defaultdict(list)
    for one in found:
        counts[one.way, one.subject].append(told(one.tone, uneven, alike))
    return {key: (sum(flags), len(flags)) for key, flags in counts.items()}


def _albedo(rng: Rng) -> Floats:
    surface = choose.SURFACES[int(rng.integers(len(choose.SURFACES)))](rng, _SHAPE)
    if rng.random() < 0.5:
        surface = weathered(rng, surface)
    return maps.base_color(rng, surface).pixels[..., :3]


def _lit(rng: Rng, albedo: Floats) -> Floats:
    """Return albedo under uneven light, with some gloss of the light's own colour on top."""
    shade = np.exp(rng.uniform(0.1, 0.6) * grain(rng, _SHAPE, 2.2))[..., None]
    gloss = np.clip(grain(rng, _SHAPE, 1.6) - rng.uniform(0.5, 2.5), 0, None) ** 2
    sheen = (gloss * rng.uniform(0, 3))[..., None] * np.array([1, 0.97, 0.92])
    return np.asarray(albedo * shade + sheen)


def _developed(rng: Rng, subject: str, light: Floats, way: str) -> Developed:
    """Return the measure of 8-bit codes, of a third of them after a JPEG."""
    codes = np.rint(255 * np.clip(develop(light, way), 0, 1)).astype(np.uint8)
    lossy = bool(rng.random() < 1 / 3)
    if lossy:
        stored = io.BytesIO()
        Image.fromarray(codes).save(stored, "JPEG", quality=int(rng.integers(75, 97)))
        codes = np.asarray(Image.open(stored).convert("RGB"))
    unit = (codes / np.float32(255)).astype(np.float32).transpose(2, 0, 1)
    starts = [(top, left) for top in window_starts(_SHAPE[0]) for left in window_starts(_SHAPE[1])]
    windows = np.stack([unit[:, t : t + WINDOW, x : x + WINDOW] for t, x in starts])
    return Developed(subject=subject, way=way, lossy=lossy, tone=measure_tone(windows))


def main() -> None:
    """Print the rates."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=600)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    found = tuple(pictures(asked.count, asked.seed))
    print("uneven  alike   told without  with (channels)  with (luminance)")
    for uneven in UNEVEN:
        for alike in ALIKE:
            by_way = rates(found, uneven, alike)
            shares = (_share(by_way, ways) for ways in (WITHOUT, ON_EACH_CHANNEL, ON_LUMINANCE))
            print(
                f"{uneven:6.2f} {alike:6.2f}   {'   '.join(f'{share:12.1%}' for share in shares)}"
            )
    for lossy in (False, True):
        print(
            f"\nat {LEAST_UNEVEN} and {LEAST_ALIKE}, {'after a JPEG' if lossy else 'never a JPEG'}:"
        )
        part = tuple(one for one in found if one.lossy == lossy)
        for (way, subject), (hits, of) in sorted(rates(part).items()):
            print(f"{way:20} {subject:8} {hits:4} of {of:4}  {hits / of:6.1%}")


def _share(by_way: dict[tuple[str, str], tuple[int, int]], ways: tuple[str, ...]) -> float:
    chosen = [counts for (way, _), counts in by_way.items() if way in ways]
    return sum(hits for hits, _ in chosen) / max(1, sum(of for _, of in chosen))


if __name__ == "__main__":
    main()
