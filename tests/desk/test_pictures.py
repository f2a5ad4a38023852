"""The desk's pictures and numbers by their addresses."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from fastapi import FastAPI
from PIL import Image
from tests.desk.windows import Client

from primecoat import workflow
from primecoat.desk.errors import register_errors
from primecoat.desk.held import build_desk
from primecoat.desk.routes import pictures
from primecoat.desk.session import Asked


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> tuple[Client, str]:
    """Return a client of a desk with one picture, and the picture's id."""
    folder: Path = tmp_path_factory.mktemp("tea")
    codes = np.random.default_rng(7).integers(0, 256, (60, 80, 3), np.uint8)
    Image.fromarray(codes).save(folder / "cup_color.png")
    survey = workflow.survey(folder, workers=1)
    asked = Asked(target=folder)
    app = FastAPI()
    app.state.desk = build_desk(asked, survey)
    register_errors(app)
    app.include_router(pictures.router)
    rows = app.state.desk.session.state.rows
    return Client(app, "http://desk"), next(row.id for row in rows if row.path == "cup_color.png")


def test_a_picture_with_what_there_is_to_say(desk: tuple[Client, str]) -> None:
    client, id = desk
    answer = client.get(f"/picture/{id}?reading=srgb_rec709_scene&size=40,40")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "image/png"
    assert answer.headers["X-Exact"] == "1"
    assert answer.headers["X-Label"] == "sRGB chunk"
    picture = Image.open(io.BytesIO(answer.content))
    assert picture.size == (40, 30)
    quick = client.get(f"/picture/{id}?reading=data&quick=1&as=plain&channels=r&box=0,0,8,4")
    assert quick.headers["X-Exact"] == "0"
    assert Image.open(io.BytesIO(quick.content)).size == (8, 4)


def test_numbers(desk: tuple[Client, str]) -> None:
    client, id = desk
    probe = client.get(f"/probe/{id}?x=3&y=4&reading=srgb_rec709_scene").json()
    assert len(probe["file"]) == len(probe["working"]) == len(probe["display_255"]) == 3
    assert probe["nits"] > 0
    histogram = client.get(f"/histogram/{id}?reading=srgb_rec709_scene&of=stops&log=1").json()
    assert len(histogram["heights"]) == 3
    places = client.get(f"/chromaticity/{id}?reading=srgb_rec709_scene").json()
    assert places["pixels"] + places["dark"] == 4800
    assert {*places["gamuts"]} == {"rec709", "p3d65", "rec2020", "ap1"}


@pytest.mark.parametrize(
    ("address", "code"),
    [
        ("picture/nothing", 404),
        ("picture/..%2Fcup_color.png", 404),
        ("picture/ID?box=1,2", 400),
        ("picture/ID?size=99999,99999", 400),
        ("picture/ID?reading=moonlight", 400),
        ("picture/ID?as=dream", 400),
        ("picture/ID?stops=nan", 400),
        ("probe/ID?x=80&y=0", 400),
        ("chromaticity/ID?reading=data", 400),
    ],
)
def test_refusals_have_the_one_shape(desk: tuple[Client, str], address: str, code: int) -> None:
    client, id = desk
    answer = client.get(f"/{address.replace('ID', id)}")
    assert answer.status_code == code
    assert {*answer.json()["error"]} == {"code", "what", "remedy"}
