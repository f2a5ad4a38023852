"""Two renders by their addresses: what must be said, how they look, and where they differ."""

from __future__ import annotations

import base64
import io
import os
from pathlib import Path

import colour
import httpx
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from tests.desk.renders_desk import (
    AP1,
    PLAIN,
    SHAPE,
    SRGB_REC709,
    Picture,
    light,
    seen,
    survey_of,
    window_on,
    write_renders,
)
from tests.desk.windows import KEY, Window

from primecoat.desk.held import build_desk
from primecoat.desk.session import Asked
from primecoat.images.oiio import write_pixels

HEIGHT, WIDTH = SHAPE


@pytest.fixture(scope="module")
def paths(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    return write_renders(tmp_path_factory.mktemp("renders"), light(), light(1.4, (0.9, 0.8, 0.7)))


@pytest.fixture(scope="module")
def window(kept_scene: Path, paths: tuple[Path, Path]) -> Window:
    return window_on(kept_scene, survey_of(kept_scene), paths, in_old="lin_rec709_scene")


def picture(window: Window, of: str, **query: object) -> NDArray[np.uint8]:
    key = window.get("api/renders")["key"]
    answer = window.ask(f"picture/render/{of}", key=key, **query)
    assert answer.status_code == 200, answer.text
    return np.asarray(Image.open(io.BytesIO(answer.content)))


def asked(window: Window, path: str) -> httpx.Response:
    """Return the answer to an address with its query in it."""
    return window.client.get(f"/{KEY}/{path}")


def difference(old: Picture, new: Picture) -> NDArray[np.float64]:
    """Return CIEDE2000 of sRGB codes as colour-science computes it."""
    one, other = (colour.XYZ_to_Lab(colour.sRGB_to_XYZ(c.astype(float))) for c in (old, new))
    return np.asarray(colour.delta_E(one, other, method="CIE 2000"), np.float64)


def test_nobody_says_the_space_so_the_page_asks(kept_scene: Path, paths: tuple[Path, Path]):
    window = window_on(kept_scene, survey_of(kept_scene), paths)
    told = window.get("api/renders")
    assert told["refused"]["code"] == 400
    assert "Nobody says which space" in told["refused"]["what"]
    assert told["sides"]["old"]["asked"]
    assert told["sides"]["new"]["space"] == "lin_ap1_scene"
    assert "key" not in told
    assert window.get("api/renders/now") == {"key": None}
    assert window.ask("picture/old").status_code == 404  # no way round the question
    assert window.ask("picture/render/old", key="0" * 20).status_code == 400
    window.refused("api/renders/say", 400, in_old="moonlight")
    window.refused("api/renders/say", 400, in_old="data")
    assert window.get("api/renders")["said"]["in_old"] is None
    said = window.post("api/renders/say", in_old="lin_rec709_scene")
    assert said["sides"]["old"] == {
        "space": "lin_rec709_scene",
        "said_by": "person",
        "asked": False,
        "why": "",
    }
    assert picture(window, "old").shape == (HEIGHT, WIDTH, 3)


def test_a_view_for_one_alone_is_refused_and_one_for_each_taken(
    kept_scene: Path, paths: tuple[Path, Path]
):
    window = window_on(kept_scene, survey_of(kept_scene), paths, in_old="lin_rec709_scene")
    words = window.refused("api/renders/say", 400, in_old="lin_rec709_scene", view_old=PLAIN)
    assert "Name both" in words
    view = "ACES 2.0 - SDR 100 nits (Rec.709)"
    window.post("api/renders/say", in_old="lin_rec709_scene", view_old=PLAIN, view_new=view)
    wanted = np.rint(np.clip(seen(light(), SRGB_REC709, PLAIN), 0, 1) * 255)
    assert np.abs(picture(window, "old") - wanted).max() <= 1
    window.refused("api/renders/say", 400, in_old="lin_rec709_scene", old="/etc/passwd")


def test_each_is_seen_as_opencolorio_alone_shows_it(window: Window):
    for of, values, space in (
        ("old", light(), SRGB_REC709),
        ("new", light(1.4, (0.9, 0.8, 0.7)), AP1),
    ):
        wanted = np.rint(np.clip(seen(values, space), 0, 1) * 255)
        assert np.array_equal(picture(window, of), wanted)
        red = picture(window, of, channels="r", box="8,4,20,10")
        assert np.array_equal(red[..., 0], wanted[4:14, 8:28, 0])
    brighter = picture(window, "new", stops=1)
    wanted = np.rint(np.clip(seen(2 * light(1.4, (0.9, 0.8, 0.7)), AP1), 0, 1) * 255)
    assert np.abs(brighter - wanted).max() <= 1


def test_the_difference_is_ciede2000_of_colour_science(window: Window):
    codes = seen(light(), SRGB_REC709), seen(light(1.4, (0.9, 0.8, 0.7)), AP1)
    wanted = difference(*codes)
    told = window.get("api/renders")
    colours = np.array(
        [[int(c[i : i + 2], 16) for i in (1, 3, 5)] for c in told["colours"]["difference"]]
    )
    places = np.clip(wanted / 20.0, 0, 1) * (len(colours) - 1)
    drawn = np.stack(
        [np.interp(places, np.arange(len(colours)), colours[:, c]) for c in range(3)], axis=-1
    )
    # between two colours of the key the scale may bend once: a few codes
    assert np.abs(picture(window, "difference", end=20) - drawn).max() <= 4
    for x, y in ((0, 0), (40, 20), (63, 39)):
        pixel = window.get("api/renders/pixel", key=told["key"], x=x, y=y)
        assert pixel["ciede2000"] == pytest.approx(wanted[y, x], abs=2e-3)
        assert pixel["old"]["display"] == codes[0][y, x].tolist()
        assert pixel["new"]["display"] == codes[1][y, x].tolist()
        assert pixel["new"]["file"] == light(1.4, (0.9, 0.8, 0.7))[y, x].tolist()
    compared = window.get("api/renders/comparison", key=told["key"])
    assert compared["ciede2000"]["mean"] == pytest.approx(wanted.mean(), rel=2e-3)


def test_stops_are_those_of_luminance(window: Window):
    key = window.get("api/renders")["key"]
    # by the matrices of colour-science, which computes them from the primaries
    as_ap1 = colour.RGB_to_RGB(light()[20, 30], "ITU-R BT.709", "ACEScg", "Bradford")
    luminance = colour.RGB_COLOURSPACES["ACEScg"].matrix_RGB_to_XYZ[1]
    old, new = as_ap1 @ luminance, light(1.4, (0.9, 0.8, 0.7))[20, 30] @ luminance
    pixel = window.get("api/renders/pixel", key=key, x=30, y=20)
    assert pixel["stops"] == pytest.approx(np.log2(new / old), abs=2e-3)
    lit = window.get("api/renders/pixel", key=key, x=30, y=20, adjust="1,1,1")
    assert lit["stops"] == pytest.approx(pixel["stops"] + 1, abs=1e-3)
    assert picture(window, "stops", end=2).shape == (HEIGHT, WIDTH, 3)


def test_keys_are_told_apart_by_the_colour_blind(window: Window):
    # G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, A Physiologically-based Model for
    # Simulation of Color Vision Deficiency, 2009; its matrices by colour-science
    told = window.get("api/renders")["colours"]
    # Those without blue cones are left out: the model does not hold for them, as its authors say.
    for deficiency in ("Protanomaly", "Deuteranomaly"):
        matrix = colour.blindness.matrix_cvd_Machado2009(deficiency, 1.0)
        lab = {
            of: colour.XYZ_to_Lab(
                colour.RGB_to_XYZ(
                    np.clip(colour.cctf_decoding(_codes(hexes)) @ matrix.T, 0, 1), "sRGB"
                )
            )
            for of, hexes in told.items()
        }
        assert (np.diff(lab["difference"][:, 0]) > 0).all(), deficiency
        low, high = lab["stops"][:16], lab["stops"][:16:-1]
        apart = np.asarray(colour.delta_E(low[:12], high[:12], method="CIE 2000"))
        assert apart.min() > 10, deficiency


def _codes(hexes: list[str]) -> NDArray[np.float64]:
    return np.array([[int(c[i : i + 2], 16) for i in (1, 3, 5)] for c in hexes]) / 255


def test_scopes_count_every_pixel(window: Window):
    key = window.get("api/renders")["key"]
    found = window.get("api/renders/scopes", key=key, side="new")
    codes = seen(light(1.4, (0.9, 0.8, 0.7)), AP1)
    levels = np.rint(np.clip(codes, 0, 1) * 255).astype(int)
    wanted = [np.bincount(levels[..., c].ravel(), minlength=256).tolist() for c in range(3)]
    assert found["histogram"] == wanted
    assert (found["pixels"], found["exact"]) == (HEIGHT * WIDTH, True)
    assert found["above"] == [int((codes[..., c] > 1).sum()) for c in range(3)]
    ink = np.frombuffer(base64.b64decode(found["codes"][1]), np.uint8).reshape(256, WIDTH)
    column = np.bincount(levels[:, 17, 1], minlength=256)
    assert np.array_equal(ink[:, 17] > 0, column > 0)
    # luminance: sRGB to XYZ by colour-science, white 100 cd/m²; from 0.01 up by its logarithm
    nits = 100 * colour.sRGB_to_XYZ(np.clip(codes, 0, 1).astype(float))[:, 17, 1]
    rows = np.flatnonzero(
        np.frombuffer(base64.b64decode(found["nits"]), np.uint8).reshape(160, WIDTH)[:, 17]
    )
    shares = np.log(nits / 0.01) / np.log(100 / 0.01) * 160
    assert rows.min() == pytest.approx(np.floor(shares.min()), abs=1)
    assert rows.max() == pytest.approx(np.floor(shares.max()), abs=1)
    quick = window.get("api/renders/scopes", key=key, side="old", quick=1)
    assert not quick["exact"]
    places = window.get("api/renders/chromaticity", key=key, side="old")
    assert places["pixels"] == HEIGHT * WIDTH
    assert {*places["gamuts"]} == {"rec709", "p3d65", "rec2020", "ap1"}


def test_what_changed_on_disk_is_not_shown_as_what_was(kept_scene: Path, tmp_path: Path):
    paths = write_renders(tmp_path, light(), light(2))
    window = window_on(kept_scene, survey_of(kept_scene), paths, in_old="lin_rec709_scene")
    key = window.get("api/renders")["key"]
    write_renders(tmp_path, light(), light(4))
    os.utime(paths[1], ns=(1, 1))
    for path in ("picture/render/new?", "api/renders/comparison?", "api/renders/scopes?side=old"):
        assert asked(window, f"{path}&key={key}").status_code == 409
    assert window.get("api/renders/now")["key"] != key
    paths[1].unlink()
    assert window.get("api/renders")["refused"]["code"] == 422


def test_a_render_that_has_been_through_its_view_is_shown_as_it_is(
    kept_scene: Path, tmp_path: Path
):
    codes = np.random.default_rng(3).integers(0, 256, (*SHAPE, 3), np.uint8)
    Image.fromarray(codes).save(tmp_path / "old.png")
    _, new = write_renders(tmp_path, light(), light())
    window = window_on(
        kept_scene, survey_of(kept_scene), (tmp_path / "old.png", new), in_old="srgb_rec709_display"
    )
    assert np.array_equal(picture(window, "old", stops=2), codes)
    told = window.get("api/renders")
    assert told["scene_referred"] == {"old": False, "new": True}
    assert told["stops_of"] == "display"
    pixel = window.get("api/renders/pixel", key=told["key"], x=5, y=6)
    assert pixel["old"]["file"] == codes[6, 5].tolist() == pixel["old"]["display_255"]
    assert pixel["old"]["light"] is None


def test_frames_of_a_sequence(kept_scene: Path, tmp_path: Path):
    for number, gain in ((1, 1.0), (2, 4.0)):
        for name in ("old", "new"):
            write_pixels(tmp_path / f"{name}.{number:04d}.exr", light(gain), pixel_type="half")
    window = window_on(
        kept_scene,
        survey_of(kept_scene),
        (tmp_path / "old.####.exr", tmp_path / "new.####.exr"),
        in_old="lin_ap1_scene",
        in_new="lin_ap1_scene",
    )
    assert window.get("api/renders")["frames"] == [1, 2]
    wanted = np.rint(np.clip(seen(light(4.0), AP1), 0, 1) * 255)
    assert np.array_equal(picture(window, "new", frame=1), wanted)
    key = window.get("api/renders")["key"]
    assert window.ask("picture/render/new", key=key, frame=2).status_code == 404


@pytest.mark.parametrize(
    ("path", "code"),
    [
        ("picture/render/old", 400),  # without a key
        ("picture/render/sum?key=KEY", 400),
        ("picture/render/new?key=KEY&adjust=1,2", 400),
        ("picture/render/new?key=KEY&adjust=1,nan,1", 400),
        ("picture/render/new?key=KEY&adjust=99,1,1", 400),
        ("picture/render/new?key=KEY&adjust=a", 400),
        ("picture/render/difference?key=KEY&end=0", 400),
        ("picture/render/difference?key=KEY&box=900,900,4,4", 400),
        ("api/renders/pixel?key=KEY&x=64&y=0", 400),
        ("api/renders/scopes?key=KEY&side=both", 400),
        ("api/renders/left?key=KEY", 404),
    ],
)
def test_refusals_have_the_one_shape(window: Window, path: str, code: int):
    answer = asked(window, path.replace("KEY", window.get("api/renders")["key"]))
    assert answer.status_code == code, answer.text
    assert {*answer.json()["error"]} == {"code", "what", "remedy"}


def test_a_desk_without_renders(kept_scene: Path):
    bare = Window(build_desk(Asked(target=kept_scene), survey_of(kept_scene)))
    assert bare.get("api/renders") == {"old": None, "new": None}
    assert bare.ask("picture/render/old", key="0" * 20).status_code == 404
    assert bare.ask("api/renders/now").json() == {"key": None}
