"""The first page of the site, at an address where a browser keeps nothing."""

from pathlib import Path

import pytest

from bouncelab.publish import site

pytestmark = pytest.mark.browser

FIRST = Path(site.__file__).with_name("site_first.html")


@pytest.mark.parametrize(
    ("address", "forgets"),
    [
        ("http://school.test/", True),
        ("http://192.168.1.5:8000/", True),
        ("https://school.test/", False),
        ("http://127.0.0.1:8000/", False),
    ],
)
def test_a_page_that_can_keep_nothing_says_so_first(browser, address, forgets):
    page = browser.new_page()
    page.route(
        "**/*",
        lambda route: route.fulfill(
            body=FIRST.read_text("utf-8"), content_type="text/html"
        ),
    )
    page.goto(address)
    warning = page.get_by_role("alert")

    assert warning.count() == int(forgets)
    if forgets:
        assert "must begin with https:" in warning.inner_text()
    page.close()
