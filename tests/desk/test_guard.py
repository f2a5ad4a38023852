"""Nobody but the desk's own page may read or act.

What a browser lets another page send is taken from the Fetch standard (fetch.spec.whatwg.org,
"CORS-safelisted request-header" and "no-cors") and the Fetch Metadata draft of the W3C
(Sec-Fetch-Site); names of response headers from CSP Level 3 and the same standards.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.desk.windows import HOST, KEY, PORT, Window

from primecoat.desk import guard
from primecoat.desk.guard import new_key

ACTS = ("survey", "decide", "undecide", "plan", "apply", "cancel", "undo", "recover", "card/write")
READS = ("", "main.js", "api/scene", "api/images", "api/colours", "api/journal", "api/card")
OTHER = "http://kiln.example"


@pytest.fixture
def window(kept_window: Window) -> Window:
    """All that is done here must be refused, so one window does for all."""
    return kept_window


@pytest.fixture
def scene(kept_scene: Path) -> Path:
    return kept_scene / "tea.gltf"


def _error(text: str) -> int:
    error = json.loads(text)["error"]
    assert set(error) == {"code", "what", "remedy"}
    return int(error["code"])


def test_the_key_is_random_and_long_enough():
    keys = {new_key() for _ in range(100)}
    assert len(keys) == 100
    assert all(len(key) >= math.ceil(256 / 6) for key in keys)
    assert all(c.isalnum() or c in "-_" for key in keys for c in key)


@pytest.mark.parametrize(
    "path",
    [
        *("/", "/api/scene", "/index.html", f"/{KEY[:-1]}/", f"/{KEY}k/", f"/{'K' * 43}/api/scene"),
        *(f"//{KEY}/api/scene", f"/x/{KEY}/api/scene", "/%6b/", "/é/api/scene", "/%ff%fe/"),
    ],
)
def test_without_the_right_key_there_is_nothing(window: Window, path: str):
    for answer in (
        window.client.get(path),
        window.client.post(path, json={}, headers={"X-Primecoat": "1"}),
    ):
        assert (answer.status_code, answer.content) == (404, b"")
        assert answer.headers["cache-control"] == "no-store"


def test_the_address_without_its_last_slash_leads_on(window: Window):
    answer = window.client.get(f"/{KEY}")
    assert answer.status_code == 308
    assert answer.headers["location"] == f"http://{HOST}/{KEY}/"


@pytest.mark.parametrize(
    "host",
    [
        *("kiln.example", f"kiln.example:{PORT}", "127.0.0.1", f"127.0.0.1:{PORT + 1}", ""),
        *(f"127.0.0.1:{PORT}.kiln.example", f"[::1]:{PORT}", f"0.0.0.0:{PORT}"),
    ],
)
def test_a_foreign_name_made_to_lead_here_is_turned_away(window: Window, host: str):
    """DNS rebinding: the foreign page's own name is in Host, whatever address it has."""
    for path in READS:
        answer = window.client.get(f"/{KEY}/{path}", headers={"Host": host})
        assert answer.status_code == _error(answer.text) == 403


def test_localhost_is_this_machine_too(window: Window):
    host = f"localhost:{PORT}"
    answer = window.client.get(
        f"/{KEY}/api/scene", headers={"Host": host, "Origin": f"http://{host}"}
    )
    assert answer.status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": OTHER},
        {"Origin": "null"},
        {"Origin": f"https://{HOST}"},
        {"Origin": f"http://127.0.0.1:{PORT + 1}"},
        {"Origin": f"http://localhost:{PORT}"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Origin": f"http://{HOST}", "Sec-Fetch-Site": "cross-site"},
    ],
)
def test_another_page_can_neither_read_nor_act(
    window: Window, scene: Path, headers: dict[str, str]
):
    before = sorted(scene.parent.rglob("*"))
    for path in READS:
        answer = window.client.get(f"/{KEY}/{path}", headers=headers)
        assert answer.status_code == _error(answer.text) == 403
    for act in ACTS:
        answer = window.send(f"api/{act}", {}, {**headers, "X-Primecoat": "1"})
        assert answer.status_code == _error(answer.text) == 403
    assert sorted(scene.parent.rglob("*")) == before


def test_another_page_gets_no_leave_to_ask(window: Window):
    """The preflight that a foreign page's browser sends first is refused, with no leave in it."""
    answer = window.client.request(
        "OPTIONS",
        f"/{KEY}/api/apply",
        headers={
            "Origin": OTHER,
            "Access-Control-Request-Method": "POST",
            "Access-Control-Request-Headers": "x-primecoat, content-type",
        },
    )
    assert answer.status_code == 403
    assert not [name for name in answer.headers if name.startswith("access-control-")]


def test_the_page_itself_may(window: Window):
    headers = {"Origin": f"http://{HOST}", "Sec-Fetch-Site": "same-origin", "X-Primecoat": "1"}
    assert window.send("api/survey", {}, headers).status_code == 200


@pytest.mark.parametrize("act", ACTS)
def test_an_act_needs_the_header_that_no_form_can_carry(window: Window, act: str):
    for headers in ({}, {"X-Primecoat": "0"}, {"X-Primecoat": ""}):
        answer = window.send(f"api/{act}", {}, headers)
        assert answer.status_code == _error(answer.text) == 403


@pytest.mark.parametrize(
    "kind", ["", "text/plain", "application/x-www-form-urlencoded", "multipart/form-data"]
)
def test_an_act_must_be_json(window: Window, kind: str):
    headers = {"X-Primecoat": "1", "Content-Type": kind}
    answer = window.client.post(f"/{KEY}/api/undo", content=b'{"version": 1}', headers=headers)
    assert answer.status_code == _error(answer.text) == 415


def test_too_large_a_body_is_refused_whatever_it_says_of_its_length(window: Window):
    body = b'{"x": "' + b"a" * guard.BODY_LIMIT + b'"}'
    headers = {"X-Primecoat": "1", "Content-Type": "application/json"}
    path = f"/{KEY}/api/decide"

    def pieces() -> Iterator[bytes]:
        for start in range(0, len(body), 65_536):
            yield body[start : start + 65_536]

    for answer in (
        window.client.post(path, content=body, headers=headers),
        window.client.post(path, content=pieces(), headers=headers),
        window.client.post(path, content=pieces(), headers={**headers, "Content-Length": "2"}),
    ):
        assert answer.status_code == _error(answer.text) == 413


@pytest.mark.parametrize("body", [b"", b"{", b"[]", b"null", b"\xff", b"[" * 100_000, b'{"a":1}'])
def test_what_is_no_request_is_refused_in_the_one_shape(window: Window, body: bytes):
    headers = {"X-Primecoat": "1", "Content-Type": "application/json"}
    answer = window.client.post(f"/{KEY}/api/decide", content=body, headers=headers)
    assert answer.status_code == _error(answer.text) == 400


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "PROPFIND"])
def test_other_methods_are_refused(window: Window, method: str):
    answer = window.client.request(method, f"/{KEY}/api/scene")
    assert answer.status_code == _error(answer.text) == 405


def test_an_act_is_not_done_by_asking_for_it(window: Window):
    for act in ("decide", "apply", "undo", "survey"):
        answer = window.ask(f"api/{act}")
        assert answer.status_code in (404, 405)
        _error(answer.text)


def test_every_answer_is_sealed(window: Window):
    answers = [
        *(window.ask(path) for path in (*READS, "api/none", "none.js", "docs", "openapi.json")),
        window.send("api/plan", {"version": "x"}),
        window.client.get("/none"),
        window.client.get(f"/{KEY}/", headers={"Host": "kiln.example"}),
    ]
    assert [a.status_code for a in answers] == [200] * len(READS) + [404] * 4 + [400, 404, 403]
    for answer in answers:
        assert answer.headers["cache-control"] == "no-store"
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "no-referrer"
        assert answer.headers["cross-origin-resource-policy"] == "same-origin"
        assert answer.headers["cross-origin-opener-policy"] == "same-origin"
        policy = dict(
            p.strip().split(" ", 1) for p in answer.headers["content-security-policy"].split(";")
        )
        assert (
            policy["default-src"] == policy["frame-ancestors"] == policy["form-action"] == "'none'"
        )
        assert policy["script-src"] == policy["connect-src"] == "'self'"
        assert "unsafe" not in answer.headers["content-security-policy"]


@pytest.mark.parametrize(
    "name",
    [
        *("..%2fapp.py", "%2e%2e%2fapp.py", "..%5capp.py", "pages%2f..%2f..%2fapp.py"),
        *("/etc/passwd", "%2fetc%2fpasswd", "main.js%00", "pages", "pages/", "__init__.py"),
        *("C:/x", "index.html/", "MAIN.JS"),
    ],
)
def test_no_name_leads_out_of_the_page(window: Window, name: str):
    answer = window.client.get(f"/{KEY}/{name}")
    assert answer.status_code == _error(answer.text) == 404


@pytest.mark.parametrize(
    "id",
    [
        *("..%2f..%2ftea.gltf", "%2e%2e%2ftea.gltf", "tea.gltf", "maps%2fcup.png", "%00"),
        *("%2fetc%2fpasswd", "a" * 5000, "68b53203974f4054"),
    ],
)
def test_a_picture_is_known_by_its_id_alone(window: Window, id: str):
    answer = window.client.get(f"/{KEY}/api/image/{id}")
    assert answer.status_code == _error(answer.text) == 404


def test_a_page_cannot_choose_where_a_config_is_written(window: Window, scene: Path):
    before = sorted(scene.parent.rglob("*"))
    for body in ({"out": "/etc/x.ocio"}, {"look": "/etc/passwd"}, {"name": "../x.ocio"}):
        assert window.send("api/config/write", body).status_code == 400
    assert sorted(scene.parent.rglob("*")) == before
    assert window.ask("api/config/check", which="/etc/passwd").status_code == 400


def test_our_own_fault_is_said_in_the_one_shape_and_kept_in_a_file(
    window: Window, monkeypatch: pytest.MonkeyPatch
):
    def broken(*_: object) -> None:
        raise ZeroDivisionError("the kiln is cold")

    monkeypatch.setattr("primecoat.desk.session.read_runs", broken)
    answer = window.ask("api/journal")
    assert answer.status_code == 500
    error = answer.json()["error"]
    assert "kiln" not in json.dumps(error)
    log = Path(error["remedy"].removeprefix("Please report it with ").removesuffix("."))
    assert "the kiln is cold" in log.read_text()
    log.unlink()
    assert answer.headers["cache-control"] == "no-store"
