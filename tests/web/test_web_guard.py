"""Who may ask: hosts, origins, the network's code, sizes, and what every answer carries."""

import re

import pytest

from firstsheet.web.entry import Entry, new_code
from firstsheet.web.guard import BODY_BYTES, host_name, loopback
from tests.web.conftest import HERE, client_of, jpeg

LAN = "http://192.0.2.7:8765"  # a documentation address, RFC 5737
PHONE = ("192.0.2.30", 40000)


def lan(book, client=PHONE, code="first-code", **more):
    return client_of(
        book, client, LAN, lan_code=code, allowed_hosts={"127.0.0.1", "localhost", "192.0.2.7"}, address=LAN, **more
    )


PAGES = ["/", "/say/light", "/say/reading", "/board", "/trays", "/bench", "/book", "/book/known", "/own", "/own/box", "/light",
         "/link", "/in", "/expose", "/nope", "/book/ZZZZ", "/static/page.css", "/worker.js", "/api/plan", "/api/none"]  # fmt: skip


@pytest.mark.parametrize("path", PAGES)
def test_what_every_answer_carries(client, path):
    got = client.get(path)
    csp = got.headers["content-security-policy"]
    assert "default-src 'none'" in csp
    assert "unsafe" not in csp
    assert got.headers["x-content-type-options"] == "nosniff"
    assert got.headers["referrer-policy"] == "same-origin"
    assert got.headers["cross-origin-opener-policy"] == "same-origin"
    assert "style=" not in got.text
    assert not re.search(r"<script(?![^>]*(src=|application/json))", got.text)


def test_the_run_page_and_its_worker(client):
    client.post("/expose", data={"number": "1"})
    code = client.get("/api/sheets").json()[0]["code"]
    got = client.get(f"/trays/{code}")
    assert got.status_code == 200
    assert "style=" not in got.text
    assert client.get("/worker.js").headers["service-worker-allowed"] == "/"


def test_other_hosts_are_refused(client):
    for host in ("evil.example", "localhost.evil.example", "127.0.0.1.evil.example:80", "", "localhost:x"):
        assert client.get("/", headers={"Host": host}).status_code == 421
    assert client.get("/", headers={"Host": "127.0.0.1:8765"}).status_code == 200


@pytest.mark.parametrize(
    ("host", "name"), [("localhost:1", "localhost"), ("[::1]:8765", "::1"), ("A.B", "a.b"), ("a:b", ""), ("a:1:2", "")]
)
def test_host_name(host, name):
    assert host_name(host) == name


def test_loopback():
    assert loopback("127.0.0.1")
    assert loopback("::1")
    assert loopback("::ffff:127.0.0.1")
    assert not loopback("::ffff:192.0.2.1")
    assert not loopback("testclient")


def test_a_form_of_another_site_is_refused(said):
    bare = client_of(said, origin=False)
    form = {"pick": "4 m"}
    assert bare.post("/say/subject", data=form).status_code == 403
    for headers in (
        {"Origin": "http://evil.example"}, {"Origin": "null"}, {"Sec-Fetch-Site": "cross-site"}, {"Sec-Fetch-Site": "same-site"},
        {"Origin": "http://evil.example", "X-Firstsheet": "1"}, {"Origin": HERE, "Sec-Fetch-Site": "cross-site"},
        {"Origin": HERE + ":81"},
    ):  # fmt: skip
        assert bare.post("/say/subject", data=form, headers=headers).status_code == 403, headers
        assert bare.post("/api/say", json={"subject": "4 m"}, headers=headers).status_code == 403, headers
    for headers in ({"Origin": HERE}, {"Sec-Fetch-Site": "same-origin"}, {"X-Firstsheet": "1"}):
        assert bare.post("/api/say", json={"subject": "4 m"}, headers=headers).status_code == 200, headers


def test_the_network_without_a_code(said):
    phone = lan(said)
    for path in ("/", "/book", "/api/plan", "/pictures/1", "/worker.js", "/book/copy", "/link"):
        assert phone.get(path).status_code == 403, path
    assert phone.post("/api/say", json={"subject": "4 m"}).status_code == 403
    assert phone.get("/static/page.css").status_code == 200
    assert phone.get("/in").status_code == 200
    phone.cookies.set("firstsheet", "made-up")
    assert phone.get("/").status_code == 403


def test_a_code_works_once_and_is_remembered(said):
    phone = lan(said)
    assert "first-code" in phone.get("/in", params={"code": "first-code"}).text
    assert phone.get("/").status_code == 403  # only looking at the address does not use the code up
    came = phone.post("/in", data={"code": "first-code"}, follow_redirects=False)
    assert came.status_code == 303
    cookie = came.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert phone.get("/").status_code == 200
    assert phone.get("/link").status_code == 403
    other = lan(said)
    other.app.state.entry = phone.app.state.entry
    token = phone.cookies["firstsheet"]
    # the process ends and begins again in the middle of a run: the phone is still known
    again = lan(said, code="second-code")
    again.cookies.set("firstsheet", token)
    assert again.get("/api/plan").status_code == 200
    # and locked out when asked
    here = client_of(said)
    here.app.state.entry.forget()
    assert not Entry(said, "x").knows(token)


def test_a_used_code_is_refused(said):
    phone = lan(said)
    assert phone.post("/in", data={"code": "wrong"}).status_code == 422
    assert phone.post("/in", data={"code": "first-code"}, follow_redirects=False).status_code == 303
    second = phone.app
    from fastapi.testclient import TestClient

    thief = TestClient(second, base_url=LAN, client=("192.0.2.31", 1), headers={"Origin": LAN})
    assert thief.post("/in", data={"code": "first-code"}).status_code == 422
    desk = TestClient(second, base_url="http://localhost", client=("127.0.0.1", 1), headers={"Origin": HERE})
    assert "in?code=" not in desk.get("/link").text
    desk.post("/link")
    found = re.search(r"in\?code=([\w-]+)", desk.get("/link").text)
    assert found
    assert thief.post("/in", data={"code": found[1]}, follow_redirects=False).status_code == 303


def test_a_code_grows_old(said, clock):
    entry = Entry(said, "c")
    clock.pass_s(901)
    assert entry.code() is None


def test_codes_cannot_be_guessed():
    assert len(new_code()) * 6 >= 64  # six bits a sign
    assert len({new_code() for _ in range(100)}) == 100


def test_without_the_network_nobody_else_comes_in(said):
    alone = client_of(said, PHONE)
    assert alone.get("/").status_code == 403
    assert alone.post("/in", data={"code": ""}).status_code == 422


def test_too_large(client):
    told = client.post("/api/say", content=b" " * (BODY_BYTES + 1), headers={"Content-Type": "application/json"})
    assert told.status_code == 413
    assert told.json()["refused"][0]["allowed"] == "At most 262 kB."
    lying = client.post(
        "/api/say", content=(b" " * 65536 for _ in range(6)), headers={"Content-Type": "application/json"}
    )
    assert lying.status_code == 413  # no length declared: counted as it comes


def test_a_photo_too_large(client):
    big = jpeg() + b"\0" * 41_000_000
    told = client.post("/photos", files={"photo": ("a.jpg", big, "image/jpeg")})
    assert told.status_code == 413
    assert "41 MB" in told.text
    assert "40 MB" in told.text


def test_the_light_goes_back_to_our_own_pages_only(client):
    for back in ("//evil.example", "http://evil.example", "/\\evil.example", "/a\r\nX: y"):
        got = client.get("/light", params={"to": "red", "back": back}, follow_redirects=False)
        assert got.headers["location"] == "/"
    got = client.get("/light", params={"to": "red", "back": "/board"}, follow_redirects=False)
    assert got.headers["location"] == "/board"
    assert 'data-light="red"' in client.get("/board").text
