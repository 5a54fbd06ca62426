"""The run card over the page: saved as a file, its marks pasted or chosen, each kept once."""

import json
import re

HERE = {"origin": "http://localhost"}


def exposed(c):
    number = re.search(r'name="number" value="(\d+)"', c.get("/expose").text).group(1)
    to = c.post("/expose", data={"number": number}, headers=HERE, follow_redirects=False).headers["location"]
    code = to.split("/")[2]
    c.post(to, data={"given": "4 s"}, headers=HERE)
    return code


def marks(code, n=2):
    made = [
        {"id": "a" * 32, "kind": "begun", "step": "", "elapsed_s": 0, "wall_ms": 1.8e12},
        {"id": "b" * 32, "kind": "lifted", "step": "developer", "elapsed_s": 390, "wall_ms": 1.8e12 + 390_000},
    ]
    return json.dumps({"form": "marks of a run", "sheet": code, "marks": made[:n]})


def test_saved_and_handed_in(client, said):
    code = exposed(client)
    assert f"/trays/{code}/card.html" in client.get(f"/trays/{code}").text
    got = client.get(f"/trays/{code}/card.html")
    assert got.headers["content-disposition"] == f'attachment; filename="firstsheet-{code}.html"'
    assert "One thousand and one" in got.text
    assert "/trays/marks" in client.get("/trays").text
    told = client.post("/trays/marks", data={"marks": marks(code, 1)}, headers=HERE).text
    assert f"1 mark of sheet {code} kept." in told
    told = client.post("/trays/marks", files={"file": ("m.json", marks(code).encode())}, headers=HERE).text
    assert f"1 mark of sheet {code} kept. 1 mark was in the book already." in told


def test_refused_beside_the_field_with_what_was_typed(client, said):
    got = client.post("/trays/marks", data={"marks": "hello <b>"}, headers=HERE)
    assert got.status_code == 422
    assert "hello &lt;b&gt;" in got.text
    assert "first {" in got.text
    assert client.post("/trays/marks", files={"file": ("m.json", b"\xff\xfe")}, headers=HERE).status_code == 422
    assert client.get("/trays/ZZZZ/card.html").status_code == 404
