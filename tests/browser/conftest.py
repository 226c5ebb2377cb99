"""A phone for the browser stories: a real server that can be stopped, and a browser with storage that outlives it."""

import functools
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request

import pytest

from conftest import BROWSER_ARGUMENTS

PHONE = {"viewport": {"width": 412, "height": 839}, "device_scale_factor": 2.625, "is_mobile": True, "has_touch": True,
         "locale": "en-GB"}
PATIENCE_S = 20


def violation(message):
    """The text of a console message, as a list, when the browser says that something broke the page's policy."""
    return [message.text] if "Content Security Policy" in message.text else []


class Server:
    """`daybank serve` in a process of its own, on a free port of this machine; the port stays when it starts again."""

    def __init__(self):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.process = None

    @property
    def url(self):
        return f"http://127.0.0.1:{self.port}/"

    def start(self):
        self.process = subprocess.Popen([sys.executable, "-m", "daybank", "serve", "--port", str(self.port)],
                                        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
        until = time.monotonic() + PATIENCE_S
        while time.monotonic() < until:
            if self.process.poll() is not None:
                raise AssertionError(f"the server did not start: {self.process.stderr.read().decode()[-800:]}")
            try:
                urllib.request.urlopen(self.url, timeout=1)
                return
            except OSError:
                time.sleep(0.1)
        raise AssertionError(f"the server did not answer within {PATIENCE_S} s")

    def address(self, name):
        """Where this server has a file of the pwa folder, such as js/clock.js: read from its own list of files."""
        stem, ending = name.rsplit(".", 1)
        with urllib.request.urlopen(self.url + "sw.js") as reply:
            listed = reply.read().decode()
        return re.search(rf'"(/static/{re.escape(stem)}\.[0-9a-f]{{8}}\.{ending})"', listed).group(1)

    def stop(self):
        if self.process and self.process.poll() is None:
            self.process.terminate()
            self.process.wait(PATIENCE_S)


class Phone:
    """A browser with a profile folder: what a killed browser leaves on disk, the next one finds."""

    def __init__(self, playwright, browser_path, folder, url, **options):
        self.playwright, self.browser_path, self.folder, self.url = playwright, browser_path, folder, url
        self.options = PHONE | options
        self.faults = []
        self.requests = []
        self.context = None

    def open(self, route="", *, offline=False):
        """Opens the app in a new browser process on the same profile."""
        self.context = self.playwright.chromium.launch_persistent_context(
            str(self.folder), executable_path=self.browser_path, args=BROWSER_ARGUMENTS, **self.options)
        self.context.set_offline(offline)
        self.context.on("request", lambda request: self.requests.append(request.url))
        page = self.context.pages[0]
        page.on("pageerror", lambda error: self.faults.append(str(error)))
        page.on("console", lambda message: self.faults.extend(violation(message)))
        page.goto(self.url + route)
        page.wait_for_selector("html[data-drawn]")
        return page

    def kill(self):
        """Ends the browser as a system does that needs the memory: no event, no goodbye."""
        ours = [int(name) for name in os.listdir("/proc") if name.isdigit() and self._uses_our_profile(name)]
        assert ours, "no browser process of this profile was found"
        for pid in ours:
            try:
                os.kill(pid, signal.SIGKILL)
            except ProcessLookupError:
                pass  # it went with its parent
        try:
            self.context.close()
        except Exception:  # noqa: BLE001 - Playwright finds its browser gone, which is the point
            pass
        for lock in ("SingletonLock", "SingletonCookie", "SingletonSocket"):
            (self.folder / lock).unlink(missing_ok=True)

    def _uses_our_profile(self, pid):
        try:
            with open(f"/proc/{pid}/cmdline", "rb") as file:
                return f"--user-data-dir={self.folder}".encode() in file.read()
        except OSError:
            return False

    def close(self):
        if self.context:
            try:
                self.context.close()
            except Exception:  # noqa: BLE001 - it was killed already
                pass


@pytest.fixture(scope="session")
def server():
    """One server for all stories that do not stop it."""
    running = Server()
    running.start()
    yield running
    running.stop()


@pytest.fixture(scope="session")
def blank(chromium, server):
    """A page of the app's origin on which nothing runs but what a test calls."""
    context = chromium.new_context(service_workers="block")
    page = context.new_page()
    page.goto(server.url + "safe.html")
    yield page
    context.close()


@pytest.fixture(scope="session")
def call(blank, server):
    """Calls an expression over the exports `m` of a module and the arguments `a`."""
    urls = functools.lru_cache(server.address)

    def run(module, expression, *arguments):
        source = f"async ([url, a]) => {{ const m = await import(url); return ({expression}); }}"
        return blank.evaluate(source, [urls(f"js/{module}.js"), list(arguments)])

    return run


@pytest.fixture
def own_server():
    """A server that the story may stop."""
    running = Server()
    running.start()
    yield running
    running.stop()


@pytest.fixture
def phone_at(playwright, browser_path, tmp_path):
    """Makes phones; every one is closed at the end, and none may have met a script fault or a policy violation."""
    phones = []

    def make(url, **options):
        phone = Phone(playwright, browser_path, tmp_path / f"profile-{len(phones)}", url, **options)
        phones.append(phone)
        return phone

    yield make
    for phone in phones:
        phone.close()
    assert [fault for phone in phones for fault in phone.faults] == []


@pytest.fixture
def page_at(chromium, server):
    """Opens pages in the running browser, for stories that need no restart; at the end none may have met a fault.

    No service worker: each story would fetch the whole shell for one that it does not use.
    """
    contexts, faults = [], []

    def make(**options):
        context = chromium.new_context(**(PHONE | {"service_workers": "block"} | options))
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on("console", lambda message: faults.extend(violation(message)))
        page.goto(server.url)
        page.wait_for_selector("html[data-drawn]")
        return page

    yield make
    for context in contexts:
        context.close()
    assert faults == []


@pytest.fixture(scope="session")
def demo_phone(chromium, server):
    """One page for all stories that begin with the demo rig, and what its storage held once that was answered.

    Each story finds that storage again; a browser of its own for each would take as long as the story.
    """
    context = chromium.new_context(service_workers="block", **PHONE)
    page = context.new_page()
    faults = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda message: faults.extend(violation(message)))
    page.goto(server.url)
    page.wait_for_selector("html[data-drawn]")
    open_demo(page)
    eventually(lambda: len(rows(page, "checkpoints")) == 2)
    yield page, page.evaluate(STORED), faults
    context.close()


@pytest.fixture
def demo(demo_phone, server):
    """A page that shows the demo rig with its stored answer; a fresh one is on its way."""
    page, stored, faults = demo_phone
    faults.clear()
    page.set_viewport_size(PHONE["viewport"])
    page.goto(server.url + "safe.html")
    page.evaluate(RESTORE, stored)
    page.goto(server.url)
    page.wait_for_selector("html[data-drawn]")
    yield page
    assert faults == []


# Every store of the app's database as [key, value] pairs, and back.
OPEN = """const done = (request) => new Promise((resolve, reject) => {
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
    });
    const base = await done(indexedDB.open('daybank'));
    const names = Array.from(base.objectStoreNames);"""
STORED = f"""async () => {{
    {OPEN}
    const stored = {{}};
    for (const name of names) {{
        const store = base.transaction(name).objectStore(name);
        const [keys, values] = await Promise.all([done(store.getAllKeys()), done(store.getAll())]);
        stored[name] = keys.map((key, i) => [key, values[i]]);
    }}
    base.close();
    return stored;
}}"""
RESTORE = f"""async (stored) => {{
    {OPEN}
    localStorage.clear();
    const tx = base.transaction(names, 'readwrite');
    for (const name of names) {{
        const store = tx.objectStore(name);
        store.clear();
        for (const [key, value] of stored[name]) store.keyPath === null ? store.put(value, key) : store.put(value);
    }}
    await new Promise((resolve) => {{ tx.oncomplete = resolve; }});
    base.close();
}}"""


def open_demo(page):
    page.get_by_role("button", name="Look at the demo rig").click()
    wait_for_final(page)


def wait_for_final(page):
    """Waits until the worker has given its last word on the newest question."""
    page.wait_for_selector("html[data-answer=final]", timeout=60_000)


def eventually(what, *, within_s=PATIENCE_S):
    """Waits until `what()` holds. Playwright's wait_for_function evaluates text, which the page's policy forbids."""
    until = time.monotonic() + within_s
    while not what():
        assert time.monotonic() < until, f"did not come about within {within_s} s"
        time.sleep(0.05)


def rows(page, store="rows"):
    """What IndexedDB holds in a store, read beside the app."""
    return page.evaluate("""async (store) => {
        const base = await new Promise((resolve, reject) => {
            const opening = indexedDB.open('daybank');
            opening.onsuccess = () => resolve(opening.result);
            opening.onerror = () => reject(opening.error);
        });
        const found = await new Promise((resolve) => {
            const reading = base.transaction(store).objectStore(store).getAll();
            reading.onsuccess = () => resolve(reading.result);
        });
        base.close();
        return found;
    }""", store)


def answer_of(page):
    """The newest final answer as the app stored it."""
    return rows(page, "answers")[0]["answer"]
