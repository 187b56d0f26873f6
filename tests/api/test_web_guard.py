"""Who may ask and what may run: only this machine's pages, and nothing that a scan or a document brings."""

from __future__ import annotations

import dataclasses
import re
from pathlib import Path
from typing import Any

import pytest

from numbertaker.web import pages
from numbertaker.web.app import create_app
from numbertaker.web.limits import LIMITS

SHAPE = {"code", "message", "details"}
DETAIL = {"file", "table", "row", "column", "expected", "found"}


@pytest.mark.parametrize("host", ["localhost", "127.0.0.1:8000", "[::1]:8000", "LOCALHOST:8000"])
def test_the_server_answers_to_the_names_of_this_machine(demo: Any, host: str) -> None:
    """Any port will do, IPv6 too."""
    assert demo.get("/api/sources", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host", ["evil.example", "localhost.evil.example", "127.0.0.1.evil.example:8000", ""]
)
def test_the_server_answers_to_no_other_name(demo: Any, host: str) -> None:
    """A name that another site has bound to this machine's address gives nothing away."""
    answer = demo.get("/api/sources", headers={"Host": host})
    assert answer.status_code == 403
    assert answer.json()["code"] == "refused"


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "https://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://testserver.evil.example"},
        {"Origin": "http://testserver:81"},
        {"Sec-Fetch-Site": "cross-site"},
    ],
)
def test_a_change_that_another_site_asks_for_is_refused(small: Any, headers: dict[str, str]) -> None:
    """A page elsewhere can make a browser post here; its origin gives it away."""
    said = {"kind": "cell", "target": "S1-46-3/miles", "ruling": "1", "reason": "x", "by": "y"}
    answer = small.post("/api/decisions", json=said, headers=headers)
    assert answer.status_code == 403
    assert set(answer.json()) == SHAPE
    assert small.get("/api/decisions").json() == []


def test_a_change_that_our_own_page_asks_for_is_made(small: Any) -> None:
    """The origin of the server's own pages is let through."""
    said = {"kind": "cell", "target": "S1-46-3/miles", "ruling": "68,567", "reason": "x", "by": "y"}
    assert small.post("/api/decisions", json=said, headers={"Origin": "http://testserver"}).status_code == 201


@pytest.mark.parametrize("path", ["/", "/api/overview", "/api/nothing", "/api/cards/none"])
def test_every_answer_says_what_may_run(demo: Any, path: str) -> None:
    """The policy lets only the server's own files run, and no type is guessed; failures are no exception."""
    headers = demo.get(path).headers
    policy = headers["content-security-policy"]
    assert policy.startswith("default-src 'self'; img-src 'self' blob: data:;")
    assert "unsafe" not in policy
    assert headers["x-content-type-options"] == "nosniff"


def test_nothing_runs_in_a_history(demo: Any) -> None:
    """The document is sandboxed by a policy of its own, and has no script to run."""
    answer = demo.get("/api/components/B46/history.html")
    assert answer.headers["content-security-policy"].startswith("sandbox; default-src 'none'")
    assert not re.search(r"<script|\son\w+=|javascript:", answer.text, re.IGNORECASE)


@pytest.mark.parametrize(
    ("method", "path", "status", "code"),
    [
        ("GET", "/api/nothing", 404, "not-found"),
        ("GET", "/api", 404, "not-found"),
        ("DELETE", "/api/decisions", 405, "not-allowed"),
        ("POST", "/api/decisions", 422, "bad-request"),
        ("GET", "/api/scans/abc", 422, "bad-request"),
        ("GET", "/api/findings?state=ajar", 422, "bad-request"),
        ("GET", "/api/components/B999", 404, "not-found"),
    ],
)
def test_every_failure_has_one_shape(demo: Any, method: str, path: str, status: int, code: str) -> None:
    """Whatever refuses a request, its body has a code, a sentence, and details of the same six parts."""
    answer = demo.request(method, path)
    assert answer.status_code == status
    body = answer.json()
    assert set(body) == SHAPE
    assert body["code"] == code
    assert body["message"].endswith((".", "?"))
    assert all(set(detail) == DETAIL for detail in body["details"])


def test_what_nobody_foresaw_tells_nothing_of_the_inside(serve: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """A bug gives 500 in the same shape; the traceback is in the server's output and not in the answer."""

    def broken(*_: object) -> None:
        raise RuntimeError("a secret of the inside")

    monkeypatch.setattr("numbertaker.usecases.look.sources.sources", broken)
    answer = serve(raise_server_exceptions=False).get("/api/sources")
    assert answer.status_code == 500
    assert set(answer.json()) == SHAPE
    assert answer.json()["code"] == "broken"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "secret" not in answer.text
    assert "Traceback" not in answer.text


def test_an_upload_beyond_the_limit_is_refused(serve: Any) -> None:
    """The limit on uploads has a name, and what is beyond it gives 413 and nothing taken in."""
    client = serve(dataclasses.replace(LIMITS, upload_bytes=10_000))
    answer = client.post(
        "/api/take-in", data={"by": "A", "source_id": "S1"}, files={"files": ("big.jpg", b"\0" * 20_000)}
    )
    assert answer.status_code == 413
    assert answer.json()["code"] == "too-large"
    assert "fewer files" in answer.json()["message"]


def test_any_other_request_is_bounded_too(serve: Any) -> None:
    """A decision of megabytes is refused before it is read to its end."""
    client = serve(dataclasses.replace(LIMITS, request_bytes=1_000))
    answer = client.post("/api/decisions", json={"ruling": "x" * 5_000})
    assert answer.status_code == 413
    assert set(answer.json()) == SHAPE


def test_where_the_pages_are_not_built_the_command_is_told(demo_folder: Path, tmp_path: Path) -> None:
    """Without built pages every address but the API's says the one command to type."""
    from starlette.testclient import TestClient

    with TestClient(create_app(demo_folder, static=tmp_path)) as client:
        for path in ("/", "/components/B46"):
            answer = client.get(path)
            assert answer.status_code == 200
            assert pages.COMMAND in answer.text
        assert client.get("/api/sources").status_code == 200


def test_the_one_page_answers_to_every_address_of_its_own(demo_folder: Path, tmp_path: Path) -> None:
    """Any address gives the application, its files are kept for good, and nothing outside can be had."""
    from starlette.testclient import TestClient

    (tmp_path / "static" / "assets").mkdir(parents=True)
    (tmp_path / "static" / "index.html").write_text("<title>the application</title>")
    (tmp_path / "static" / "assets" / "app-1.js").write_text("1")
    (tmp_path / "secret.txt").write_text("secret")
    with TestClient(create_app(demo_folder, static=tmp_path / "static")) as client:
        assert "the application" in client.get("/components/B46").text
        assert client.get("/").headers["cache-control"] == "no-cache"
        assert "immutable" in client.get("/assets/app-1.js").headers["cache-control"]
        assert client.get("/assets/app-2.js").status_code == 404
        assert "secret" not in client.get("/%2e%2e/secret.txt").text
