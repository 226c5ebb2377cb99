"""Safe mode in a real browser: it copies what is stored, and renews the program without losing an entry."""

import json

import pytest
from starlette.testclient import TestClient

from daybank.app import create_app
from daybank.assets import build_shell
from daybank.settings import Settings

STORE = """() => new Promise((resolve, reject) => {
  const opening = indexedDB.open('daybank', 3);
  opening.onupgradeneeded = () => {
    opening.result.createObjectStore('ops', { keyPath: 'id' }).put({ id: 'a', set: { volts: 12.4 } });
    opening.result.createObjectStore('photos').put(new Blob(['abc'], { type: 'image/png' }), 'p');
  };
  opening.onsuccess = () => { opening.result.close(); resolve(); };
  opening.onerror = () => reject(opening.error);
})"""
ADDRESS = "http://127.0.0.1:8127"


@pytest.fixture
def page(chromium):
    """A page whose every request is answered by the real app, without a port; see `served`."""
    context = chromium.new_context(service_workers="block")
    page = context.new_page()
    page.set_default_timeout(10_000)
    page.console = []
    page.on("console", lambda message: page.console.append(message.text))
    page.on("pageerror", lambda error: page.console.append(str(error)))
    yield page
    context.close()


@pytest.fixture
def served(page):
    client = TestClient(create_app(Settings(), build_shell()), base_url=ADDRESS)

    def reply(route):
        # not compressed: the browser takes bodies from the test as they are
        got = client.get(route.request.url, headers={"accept-encoding": "identity"})
        route.fulfill(status=got.status_code, headers=dict(got.headers), body=got.content)

    page.route("**/*", reply)
    page.goto(ADDRESS + "/safe.html")
    return page


def test_everything_stored_is_written_into_one_file(served):
    served.evaluate(STORE)
    served.evaluate("() => localStorage.setItem('draft', '12,4')")
    with served.expect_download() as download:
        served.get_by_role("button", name="Save a copy of everything").click()
    copy = json.loads(download.value.path().read_text())
    assert download.value.suggested_filename.startswith("daybank-copy-")
    assert copy["format"] == "daybank-safe-copy/1"
    assert copy["local_storage"] == {"draft": "12,4"}
    [base] = copy["databases"]
    assert (base["name"], base["version"]) == ("daybank", 3)
    assert base["stores"]["ops"] == [{"key": "a", "value": {"id": "a", "set": {"volts": 12.4}}}]
    assert base["stores"]["photos"] == [{"key": "p", "value": {"blob_type": "image/png", "base64": "YWJj"}}]
    served.get_by_text("Saved 2 stored items into a file.").wait_for()
    assert served.console == []


def test_a_phone_with_nothing_on_it_says_so_and_makes_no_database(served):
    with served.expect_download():
        served.get_by_role("button", name="Save a copy of everything").click()
    served.get_by_text("This phone holds no entries; the file says so.").wait_for()
    assert served.evaluate("() => indexedDB.databases()") == []


def test_without_the_server_nothing_is_removed(served):
    served.evaluate("() => caches.open('shell-old')")
    served.unroute("**/*")
    served.route("**/*", lambda route: route.abort())
    served.get_by_role("button", name="Load the app anew").click()
    served.get_by_text("The server does not answer, so nothing was removed").wait_for()
    assert served.evaluate("() => caches.keys()") == ["shell-old"]


def test_a_login_page_of_some_network_does_not_count_as_the_server(served):
    served.evaluate("() => caches.open('shell-old')")
    served.unroute("**/*")
    served.route("**/*", lambda route: route.fulfill(status=200, content_type="text/html", body="Room number?"))
    served.get_by_role("button", name="Load the app anew").click()
    served.get_by_text("The server does not answer, so nothing was removed").wait_for()
    assert served.evaluate("() => caches.keys()") == ["shell-old"]


def test_loading_anew_clears_the_stored_shell_and_keeps_the_entries(served):
    served.evaluate(STORE)
    served.evaluate("async () => { await caches.open('shell-old'); await caches.open('photos'); }")
    served.get_by_role("button", name="Load the app anew").click()
    served.wait_for_url(ADDRESS + "/")
    assert served.evaluate("() => caches.keys()") == ["photos"]
    assert "daybank" in [base["name"] for base in served.evaluate("() => indexedDB.databases()")]


def test_the_way_to_safe_mode_shows_when_the_app_does_not_draw_and_hides_when_it_does(page):
    shell = build_shell()
    client = TestClient(create_app(Settings(), shell), base_url=ADDRESS)

    def reply(route):
        if route.request.url.endswith(shell.asset("js/main.js")):
            route.fulfill(status=200, content_type="text/javascript", body="throw new Error('a fault');")
            return
        got = client.get(route.request.url, headers={"accept-encoding": "identity"})
        route.fulfill(status=got.status_code, headers=dict(got.headers), body=got.content)

    page.clock.install()
    page.route("**/*", reply)
    page.goto(ADDRESS)
    link = page.get_by_role("link", name="Open safe mode")
    page.clock.run_for(9_000)
    assert not link.is_visible()
    page.clock.run_for(2_000)
    link.wait_for(state="visible")
    page.evaluate("() => { document.documentElement.dataset.drawn = ''; }")
    link.wait_for(state="hidden")
