"""A new version of the app: offered, never forced, and nothing typed is lost on the way."""

import shutil
import socket
import threading
import time

import pytest
import uvicorn

from browser.conftest import eventually, open_demo, rows
from conftest import ROOT
from daybank.app import create_app
from daybank.assets import build_shell
from daybank.settings import Settings


class Published:
    """A server in a thread whose shell can be exchanged for another while it runs."""

    def __init__(self, pwa):
        self.pwa = pwa
        self.publish()
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.server = uvicorn.Server(uvicorn.Config(self, host="127.0.0.1", port=self.port, log_level="error"))
        self.thread = threading.Thread(target=self.server.run, daemon=True)

    def publish(self):
        self.app = create_app(Settings(), build_shell(self.pwa))

    async def __call__(self, scope, receive, send):
        await self.app(scope, receive, send)


@pytest.fixture
def published(tmp_path):
    pwa = tmp_path / "pwa"
    shutil.copytree(ROOT / "pwa", pwa)
    running = Published(pwa)
    running.thread.start()
    until = time.monotonic() + 20
    while not running.server.started:
        assert time.monotonic() < until, "the server did not start"
        time.sleep(0.05)
    yield running
    running.server.should_exit = True
    running.thread.join(20)


def test_a_new_version_waits_for_the_person_and_brings_the_typed_value_along(published, phone_at):
    page = phone_at(f"http://127.0.0.1:{published.port}/").open()
    open_demo(page)
    page.evaluate("navigator.serviceWorker.ready")
    page.reload()  # now the worker serves the page
    page.wait_for_selector("html[data-drawn]")
    page.get_by_role("link", name="Add a reading").click()
    page.fill("[name=volts]", "12,4")

    table = published.pwa / "words" / "en.json"
    table.write_text(table.read_text().replace('"Add a reading"', '"Type a reading"'))
    published.publish()
    page.evaluate("navigator.serviceWorker.getRegistration().then((found) => found.update())")
    page.get_by_text("A new version is ready.").wait_for()
    assert page.inner_text("h1") == "Add a reading" and page.input_value("[name=volts]") == "12,4"

    page.get_by_role("button", name="Use it now").click()
    page.get_by_text("This was typed earlier and not saved.").wait_for()
    assert page.input_value("[name=volts]") == "12,4"
    page.get_by_role("link", name="Back").click()
    page.get_by_role("link", name="Type a reading").wait_for()
    eventually(lambda: len(rows(page, "drafts")) == 1)


def test_a_new_version_can_wait(published, phone_at):
    page = phone_at(f"http://127.0.0.1:{published.port}/").open()
    open_demo(page)
    page.evaluate("navigator.serviceWorker.ready")
    page.reload()
    page.wait_for_selector("html[data-drawn]")
    table = published.pwa / "words" / "en.json"
    table.write_text(table.read_text().replace('"Add a reading"', '"Type a reading"'))
    published.publish()
    page.evaluate("navigator.serviceWorker.getRegistration().then((found) => found.update())")
    page.get_by_role("button", name="Later").click()
    page.get_by_text("A new version is ready.").wait_for(state="hidden")
    page.get_by_role("link", name="Add a reading").wait_for()
