"""Two developers compared on a telephone: two curves chosen, a photo touched in five places, counted, the next plan changed."""

import pytest

from firstsheet.acts import (
    calibrate_curve,
    scraps_developers,
    scraps_fog,
    scraps_readings,
    scraps_reciprocity,
    scraps_stain,
    wish,
)
from firstsheet.book.store import Book
from tests.acts_scraps.conftest import curve_form, dim, furnish
from tests.acts_scraps.strips_photo import COLOURS, PLACES, photo, said
from tests.browser.web_harness import PHONE, Served, follow, press, seen_in_light, touch_photo

pytestmark = pytest.mark.browser
SOFT = {"base": 0.14, "rise": 1.60, "k": 3.6, "m": 0.62}


@pytest.fixture
def served(tmp_path):
    with Book.open(tmp_path / "book.sqlite") as book:
        furnish(book)
        dim(book)
        calibrate_curve.curve(book, None, curve_form(), teach=False)
        calibrate_curve.curve(book, None, curve_form("brew", **SOFT), teach=False)
        wish.say(book, {"developer": "brew"})
    running = Served(tmp_path / "book.sqlite").start()
    yield running
    running.kill()


def seconds(page, served):
    page.goto(served.url + "/")
    return page.inner_text(".answer .figures")


def test_two_developers_from_curves_to_the_next_plan(browser, served, tmp_path):
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    wrong = []
    page.on("pageerror", lambda e: wrong.append(str(e)))
    page.on("console", lambda m: wrong.append(m.text) if m.type == "error" and "422" not in m.text else None)
    before = seconds(page, served)
    page.goto(served.url + "/bench")
    follow(page, page.get_by_role("link", name="Long exposures, fog, two developers"))
    follow(page, page.get_by_role("link", name="Two developers on one paper"))
    assert "Coffee developer looks like a drink" in page.inner_text(".caution")
    press(page, "Lay them over one another")
    assert page.locator(".problem").count() == 2  # neither was chosen
    page.get_by_role("group", name="The first").get_by_text("box D in bought").click()
    page.get_by_role("group", name="The second").get_by_text("box D in brew").click()
    press(page, "Lay them over one another")
    assert page.inner_text(".answer").split() == ["0.6", "stop", "slower", "in", "brew"]
    assert page.locator("svg.curve-plot polyline.curve").count() == 2
    drawn = page.locator("svg.curve-plot").bounding_box()
    assert drawn["x"] >= 0
    assert drawn["x"] + drawn["width"] <= PHONE["width"]
    assert seconds(page, served) == before  # kept, and changes nothing yet
    page.go_back()
    follow(page, page.get_by_role("link", name="Measure the stain"))
    (tmp_path / "both.jpg").write_bytes(photo(COLOURS))
    page.get_by_label("A photo or scan of both beside a white").set_input_files(tmp_path / "both.jpg")
    press(page, "Then touch its places")
    for key in scraps_stain.PLACES:
        touch_photo(page, *PLACES[key])
    told = page.inner_text("main")
    assert "warm, towards yellow" in told
    assert "CIE L*a*b*, D50, 2° observer" in told
    press(page, "Let it count in plans")
    assert "Take it back" in page.inner_text("main")
    taught = page.url
    after = seconds(page, served)
    assert float(after) > 1.2 * float(before)
    page.goto(taught)
    press(page, "Take it back")
    assert seconds(page, served) == before
    context.close()
    assert not wrong


@pytest.fixture
def pages(served):
    with Book.open(served.book) as book:
        second, first = (str(n) for n, _ in scraps_developers.offered(book))
        two = scraps_developers.compare(book, {"first": first, "second": second}, teach=False).number
        picture = scraps_stain.take_in(book, two, photo(COLOURS))
        scraps_stain.look(book, two, picture, said())
        long = scraps_reciprocity.measure(
            book, {"given": "1 s at f/8, 64 s at f/64", "matched": "5 4", "pace": "√2"}, teach=False
        ).number
        fog = scraps_fog.measure(book, {"looks": "grey"}).number
        layer = {"reflection": "0.06 1.02 1.46 1.96", "transmission": "0.58 1.05 1.33 1.63"}
        both = scraps_readings.measure(book, layer).number
    return ["/scraps/readings", f"/scraps/{both}", f"/scraps/{both}?of=9", "/scraps/fog", f"/scraps/{fog}", "/scraps/fog/photo", "/scraps", "/scraps?box=D", "/scraps/reciprocity", f"/scraps/{long}", "/scraps/developers", f"/scraps/{two}",
            f"/scraps/{two}/photo", f"/scraps/{two}/photo/{picture}?white=0.5,0.5"]  # fmt: skip


@pytest.mark.parametrize("light", ["sun", "red", "dark"])
def test_every_page_in_its_lights(browser, served, pages, light):
    seen_in_light(browser, served, pages, light)
