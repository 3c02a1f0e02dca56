"""Who is let in: the page itself and nobody else, whichever way others ask."""

from __future__ import annotations

import json
from pathlib import Path
from urllib.parse import quote

import pytest
from asking import Client

from rigline.view.app import view_app
from rigline.view.desk import Desk
from rigline.view.guard import LARGEST_BODY_BYTES, new_token
from rigline.view.page import static_files
from rigline.view.spec_file import SpecFile

PORT = 8123
HOST = f"127.0.0.1:{PORT}"
TOKEN = "A" * 43
OWN = {"origin": f"http://{HOST}"}
ADDRESSES = ("", "state", "events", "lists?number=1", "plot.svg?number=1", "schema", "text", *static_files())


@pytest.fixture
def client(spec: Path) -> Client:
    """Asks as the page does, unless told otherwise."""
    return Client(view_app(Desk(SpecFile(spec)), TOKEN, PORT), HOST)


def test_the_page_gets_its_files_its_text_and_its_schema(client: Client, spec: Path) -> None:
    for address in ("", "schema", "text", *static_files()):
        assert client.get(f"/{TOKEN}/{address}").status_code == 200
    assert client.get(f"/{TOKEN}/text").json()["text"] == spec.read_text(encoding="utf-8")


@pytest.mark.parametrize("address", ADDRESSES)
@pytest.mark.parametrize(
    "token", ["", "A", "A" * 42, "A" * 44, "A" * 42 + "B", "a" * 43, "%41" * 42, "\u00e4" * 43, ".", "..", "*"]
)
def test_without_the_token_nothing_is_told(client: Client, address: str, token: str) -> None:
    answer = client.get(f"/{token}/{address}")

    assert (answer.status_code, answer.text) == (403, "Forbidden\n")


@pytest.mark.parametrize(
    "host",
    [
        "localhost", f"localhost:{PORT}", "127.0.0.1", "127.0.0.1:80", f"attacker.example:{PORT}", f"[::1]:{PORT}",
        f"127.0.0.1:{PORT}.attacker.example", "",
    ],
)  # fmt: skip
def test_another_name_for_this_machine_is_refused(client: Client, host: str) -> None:
    """A page elsewhere could let a name of its own lead here (DNS rebinding)."""
    assert client.get(f"/{TOKEN}/text", headers={"host": host}).status_code == 421


@pytest.mark.parametrize(
    "origin",
    ["http://attacker.example", "null", "http://127.0.0.1", "http://127.0.0.1:80", f"https://127.0.0.1:{PORT}"],
)
def test_a_page_from_elsewhere_is_refused_even_with_the_token(client: Client, origin: str, spec: Path) -> None:
    before = spec.read_bytes()
    headers = {"origin": origin, "if-match": '"x"'}

    assert client.get(f"/{TOKEN}/text", headers=headers).status_code == 403
    assert client.post(f"/{TOKEN}/check", headers=headers, content=[b"x"]).status_code == 403
    assert client.put(f"/{TOKEN}/text", headers=headers, content=[b"x"]).status_code == 403
    assert spec.read_bytes() == before


@pytest.mark.parametrize("site", ["cross-site", "same-site", "anything"])
def test_what_the_browser_says_of_the_asking_site_counts(client: Client, site: str) -> None:
    headers = {"sec-fetch-site": site}

    assert client.get(f"/{TOKEN}/text", headers=headers).status_code == 403


def test_who_writes_must_say_where_from(client: Client) -> None:
    assert client.post(f"/{TOKEN}/check", content=[b"x"]).status_code == 403
    assert client.put(f"/{TOKEN}/text", content=[b"x"]).status_code == 403


@pytest.mark.parametrize("method", ["HEAD", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "PROPFIND", "get"])
def test_other_methods_are_refused(client: Client, method: str) -> None:
    answer = client.request(method, f"/{TOKEN}/text", headers=OWN)

    assert (answer.status_code, answer.headers["allow"]) == (405, "GET, POST, PUT")


@pytest.mark.parametrize(
    ("method", "address"), [("POST", ""), ("PUT", "check"), ("POST", "text"), ("GET", "try"), ("PUT", "view.js")]
)
def test_an_address_answers_its_own_methods_only(client: Client, method: str, address: str) -> None:
    assert client.request(method, f"/{TOKEN}/{address}", headers=OWN).status_code == 405


@pytest.mark.parametrize(
    "path",
    [
        "lights.yaml", "../lights.yaml", "..%2flights.yaml", "%2e%2e/lights.yaml", "....//lights.yaml", "/etc/passwd",
        "%2fetc%2fpasswd", "static/view.js", "vendor/README.md", "view.js/", "view.js%00", "view.html", "C:\\x",
        "text/../text", "//", "state/", "VIEW.JS",
    ],
)  # fmt: skip
def test_no_path_leads_to_a_file_that_is_not_the_pages(client: Client, path: str) -> None:
    assert client.get(f"/{TOKEN}/{path}").status_code == 404


def test_a_body_longer_than_a_spec_may_be_is_refused_whatever_length_it_says(client: Client) -> None:
    long = b"#" * (LARGEST_BODY_BYTES + 1)
    pieces = [long[:6_000_000], long[6_000_000:]]

    assert client.post(f"/{TOKEN}/check", headers=OWN, content=pieces).status_code == 413
    for length in (str(len(long)), "-1", "1e3", "99999999999999999999", "x"):
        answer = client.post(f"/{TOKEN}/check", headers={**OWN, "content-length": length}, content=[b"x"])
        assert answer.status_code == 413


def test_a_body_that_is_no_text_is_refused(client: Client) -> None:
    headers = {**OWN, "if-match": '"x"'}

    assert client.post(f"/{TOKEN}/check", headers=OWN, content=[b"\xff\xfe"]).status_code == 400
    assert client.put(f"/{TOKEN}/text", headers=headers, content=[b"\xff\xfe"]).status_code == 400


@pytest.mark.parametrize("number", ["", "x", "-1", "1.5", "9" * 400, "\u0663", "1;2"])
def test_a_number_that_is_none_finds_nothing(client: Client, number: str) -> None:
    assert client.get(f"/{TOKEN}/lists?number={quote(number)}").status_code == 410


def test_every_answer_keeps_to_itself(client: Client) -> None:
    answers = [client.get(f"/{TOKEN}/{address}") for address in ("", "text", "view.js", "nothing")]
    answers.append(client.get("/wrong/"))

    for answer in answers:
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        assert {"unsafe-inline", "unsafe-eval", "http", "*"} & set(policy.replace("'", " ").split()) == set()
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "no-referrer"
        assert answer.headers["cache-control"] == "no-store"
        assert "access-control-allow-origin" not in answer.headers


def test_the_page_loads_nothing_from_elsewhere() -> None:
    """The addresses in the editor's library name XML namespaces; nothing fetches them."""
    for name, (_, content) in static_files().items():
        text = content.decode().replace("http://www.w3.org/", "")
        assert (name, text.count("http://"), text.count("https://")) == (name, 0, 0)


def test_tokens_are_long_and_never_the_same() -> None:
    tokens = {new_token() for _ in range(200)}

    assert len(tokens) == 200
    assert {len(token) for token in tokens} == {43}


def test_a_text_is_saved_only_over_the_text_it_was_made_from(client: Client, spec: Path) -> None:
    first = client.get(f"/{TOKEN}/text").json()

    def put(text: str, digest: str) -> tuple[int, str]:
        answer = client.put(f"/{TOKEN}/text", headers={**OWN, "if-match": digest}, content=[text.encode()])
        return answer.status_code, answer.text

    assert put(first["text"] + "# mine\n", "")[0] == 400
    status, told = put(first["text"] + "# mine\n", f'"{first["digest"]}"')
    assert (status, json.loads(told)["text"]) == (200, first["text"] + "# mine\n")
    status, told = put("# late\n", f'"{first["digest"]}"')
    assert (status, json.loads(told)["text"]) == (412, first["text"] + "# mine\n")
    assert spec.read_text(encoding="utf-8") == first["text"] + "# mine\n"
    assert sorted(path.name for path in spec.parent.iterdir()) == ["lights.yaml"]
