"""A table that is wider than the tablet shows at its edge that it goes on."""

from io import BytesIO

from PIL import Image

WIDE = """width => {
  const table = `<table class="table" style="width: ${width}px"><tbody><tr><td>x</td></tr></tbody></table>`;
  document.querySelector("main").innerHTML = `<div class="table-frame" tabindex="0">${table}</div>`;
  document.querySelector(".table").style.width = `${width}px`;
}"""
WITHIN = 4  # px inside the border


def edges(page) -> list[int]:
    """Return how bright the frame is, 0 to 255, just inside its left and right edges."""
    page.wait_for_timeout(100)
    shot = Image.open(BytesIO(page.locator(".table-frame").screenshot())).convert("L")
    row = shot.height // 2
    return [shot.getpixel((at, row)) for at in (WITHIN, shot.width - 1 - WITHIN)]


def test_more_beyond_an_edge_is_shown_by_a_shadow_there(tablet):
    page = tablet.page
    page.goto(f"{tablet.address}/verify/")
    page.evaluate(WIDE, 300)
    left, right = edges(page)
    assert left == right
    paper = left
    page.evaluate(WIDE, 2000)
    left, right = edges(page)
    assert (left, right < paper - 20) == (paper, True)
    page.evaluate("document.querySelector('.table-frame').scrollLeft = 600")
    assert all(each < paper - 20 for each in edges(page))
    page.evaluate("document.querySelector('.table-frame').scrollLeft = 9999")
    left, right = edges(page)
    assert (left < paper - 20, right) == (True, paper)
