"""A photo of a wet sheet in, its white and border touched, a version touched, and the next plan changed. In three lights."""

import pytest

from firstsheet.acts import expose, own, wish
from firstsheet.book.store import Book
from tests.browser.web_harness import DESK, PHONE, Served, boathouse, follow, highest, touch_photo
from tests.foresee.sheets import BORDER_AT, WHITE_AT, Print
from tests.foresee.sheets import photo as sheet_photo

pytestmark = pytest.mark.browser


@pytest.fixture
def served(tmp_path):
    where = tmp_path / "book.sqlite"
    with Book.open(where) as book:
        boathouse(book, "f/16")
        own.add_box(book, {"name": "D", "paper": "direct_positive", "size": "12x16 in", "sheets": "25"})
        own.add_developer(book, {"name": "coffee", "kind": "coffee"})
        own.add_meter(book, {"name": "my meter", "kind": "hand"})
        wish.say(book, {"light": "open_shade", "subject": "3 m", "reading": "EV 11", "sitter": "the cox"})
        codes = [expose.keep(book).code for _ in range(2)]
        for code in codes:
            expose.expose(book, code, {})
    running = Served(where).start()
    running.code, running.other = codes
    yield running
    running.kill()


def opened(browser, served, light="sun", viewport=PHONE):
    context = browser.new_context(viewport=viewport, reduced_motion="reduce")
    context.add_cookies([{"name": "light", "value": light, "url": served.url}])
    return context, context.new_page()


def sent(page, served, made, code=None):
    """From the judging page to the photo, and the white touched."""
    page.goto(f"{served.url}/bench/{code or served.code}")
    follow(page, page.get_by_role("link", name="Show me: which did you want?"))
    page.set_input_files(
        "#photo", {"name": "sheet.png", "mimeType": "image/png", "buffer": sheet_photo(made.density())}
    )
    follow(page, page.get_by_role("button", name="Show me"))
    touch_photo(page, *WHITE_AT)


def machine_finds_nothing(page, viewport):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
    found = axe.run(page).response["violations"]
    assert not found, (page.url, [(v["id"], v["nodes"][0]["html"][:200]) for v in found])
    assert page.evaluate("document.documentElement.scrollWidth") <= viewport["width"], page.url


@pytest.mark.parametrize("viewport", [PHONE, DESK], ids=["phone", "desk"])
def test_a_wet_sheet_and_the_one_that_was_wanted(browser, served, viewport):
    context, page = opened(browser, served, viewport=viewport)
    page.goto(served.url)
    before = page.inner_text(".answer .figures")
    sent(page, served, Print(-1, -0.5))
    assert "border" in page.inner_text("h1")
    machine_finds_nothing(page, viewport)
    touch_photo(page, *BORDER_AT)
    assert "full black, as it should be" in page.inner_text(".verdict")
    machine_finds_nothing(page, viewport)
    buttons = page.locator(".five button")
    assert [b.inner_text() for b in buttons.all()] == ["much darker", "darker", "as it is", "lighter", "much lighter"]
    pictures = page.locator(".five img")
    assert all(p.evaluate("i => i.complete && i.naturalWidth === 800") for p in pictures.all())
    for b in buttons.all():
        assert b.bounding_box()["height"] >= 100
    follow(page, page.get_by_role("button", name="lighter", exact=True))
    page.wait_for_url("**/change")
    machine_finds_nothing(page, viewport)
    words = page.inner_text(".changed")
    assert words.startswith("Give ")
    assert "change nothing else" in words
    assert " in 10" in words
    after = page.inner_text(".answer .figures")
    assert float(after) > float(before)  # lighter on a positive wants more light: common practice, no source
    page.goto(served.url)
    assert page.inner_text(".answer .figures") == after
    page.goto(f"{served.url}/book/{served.code}")
    assert "version +½, lighter, wet" in page.inner_text("main")
    context.close()


def test_a_fogged_sheet_offers_no_speed(browser, served):
    context, page = opened(browser, served)
    sent(page, served, Print(-1, border_d=1.0))
    touch_photo(page, *BORDER_AT)
    assert "fog, not exposure" in page.inner_text(".verdict")
    assert page.locator(".five").count() == 0
    machine_finds_nothing(page, PHONE)
    follow(page, page.get_by_role("link", name="What may have fogged it"))
    assert "border is grey" in page.inner_text("h1").lower()
    context.close()


def test_a_border_by_eye_and_a_wrong_white(browser, served):
    context, page = opened(browser, served)
    sent(page, served, Print(-1))
    follow(page, page.get_by_role("button", name="Grey"))
    assert "fog, not exposure" in page.inner_text(".verdict")
    follow(page, page.get_by_role("link", name="Touch the border again"))
    follow(page, page.get_by_role("button", name="Black"))
    page.wait_for_selector(".five button")
    assert page.locator(".five button").count() == 5
    sent(page, served, Print(-1), served.other)
    page.goto(page.url.split("?")[0] + "?white=0.5,0.05&border=black")  # the black border is no white
    assert "white card" in page.inner_text(".problems").lower()
    assert page.inner_text("h1") == "Touch the white"
    context.close()


def paths_of(browser, served):
    context, page = opened(browser, served)
    sent(page, served, Print(-1))
    white = page.url.removeprefix(served.url)
    touch_photo(page, *BORDER_AT)
    five = page.url.removeprefix(served.url)
    context.close()
    code = served.code
    return [f"/bench/{code}", f"/bench/{code}/versions", white, five, "/badday", f"/badday/{code}", f"/badday/{code}?saw=all_black",
            f"/badday/{code}?saw=grey_border", "/badday?saw=streaks&way=paper_negative", "/badday?saw=nonsense&way=paper_negative",
            "/trays", "/bench", f"/book/{code}"]  # fmt: skip


def test_three_lights(browser, served):
    paths = paths_of(browser, served)
    for viewport in (PHONE, DESK):
        for light in ("sun", "red", "dark"):
            context, page = opened(browser, served, light, viewport)
            for path in paths:
                page.goto(served.url + path)
                machine_finds_nothing(page, viewport)
                if light == "red":
                    red, green, blue = highest(page)
                    assert (green, blue) == (0, 0), path
                    assert red >= 200, path
                    assert page.locator("select, input[type=file], dialog").count() == 0, path
                if light == "dark":
                    assert highest(page) == [0, 0, 0], path
                if light != "dark":
                    for one in page.locator("button:visible, a.row:visible, a.act:visible, .borders a:visible").all():
                        if "heard" not in (one.get_attribute("class") or ""):
                            assert one.bounding_box()["height"] >= 43.9, (path, one.inner_text())
            context.close()


def test_a_bad_day_by_touch(browser, served):
    context, page = opened(browser, served)
    page.goto(served.url + "/trays")
    follow(page, page.get_by_role("link", name="Something went wrong with a sheet"))
    follow(page, page.get_by_role("link", name="Black all over"))
    first = page.locator("h2").first
    assert first.inner_text() == "Now, with your hands"
    assert page.locator(".causes li").count() >= 2
    assert "%" in page.inner_text(".causes")
    follow(page, page.get_by_role("link", name="Black", exact=True))
    assert page.locator('.borders a[aria-current="true"]').inner_text() == "Black"
    assert "stop" in page.inner_text("main").lower()
    context.close()
