"""The worker of the shell in a real browser: offline, updates, a network that serves its own page, the emergency exit.

Runs on the small pwa folder of conftest.py with the project's real sw.js and kill-sw.js, so that a fault here is the
worker's.
"""

import threading
import time

import pytest
import uvicorn

from daybank.app import create_app
from daybank.assets import build_shell
from daybank.settings import Settings

MODEL = b'{"version":"none","files":{}}'
READY = "() => navigator.serviceWorker.ready.then((r) => r.active.state)"
# What became of an update: the state its worker ended in, 'no update', or 'update refused' if it was no worker.
UPDATE = """async () => {
  const registration = await navigator.serviceWorker.ready;
  let coming = null;
  registration.addEventListener('updatefound', () => { coming = registration.installing; });
  try {
    await registration.update();
  } catch {
    return 'update refused';
  }
  await new Promise((resolve) => setTimeout(resolve, 300)); // the event follows the promise
  if (!coming) return 'no update';
  const ended = () => ['installed', 'activated', 'redundant'].includes(coming.state);
  for (let tries = 0; !ended() && tries < 300; tries += 1) await new Promise((resolve) => setTimeout(resolve, 100));
  return coming.state;
}"""
CACHES = "() => caches.keys()"


class Server:
    """The app on a port of its own, which can be stopped, and started again with other files."""

    def __init__(self):
        self.port = 0
        self.running = None

    def start(self, app):
        config = uvicorn.Config(app, host="127.0.0.1", port=self.port, log_level="error")
        self.running = uvicorn.Server(config)
        self.thread = threading.Thread(target=self.running.run, daemon=True)
        self.thread.start()
        while not self.running.started:
            assert self.thread.is_alive(), "the test server did not start"
            time.sleep(0.01)
        self.port = self.running.servers[0].sockets[0].getsockname()[1]

    def stop(self):
        if self.running:
            self.running.should_exit = self.running.force_exit = True
            self.thread.join(timeout=10)
            self.running = None

    def restart(self, app):
        self.stop()
        self.start(app)

    @property
    def address(self):
        return f"http://127.0.0.1:{self.port}"


def app_of(folder, **settings):
    return create_app(Settings(**settings), build_shell(folder, model=MODEL))


@pytest.fixture
def server():
    server = Server()
    yield server
    server.stop()


@pytest.fixture
def page(chromium):
    context = chromium.new_context()
    page = context.new_page()
    page.set_default_timeout(10_000)
    yield page
    context.close()


@pytest.fixture
def installed(server, small_pwa, page):
    """A page whose worker holds the small shell and controls it."""
    server.start(app_of(small_pwa))
    page.goto(server.address)
    page.evaluate(READY)
    page.wait_for_function("() => navigator.serviceWorker.controller")
    return page


def test_the_page_opens_cold_with_the_network_cut_and_the_server_stopped(installed, server):
    server.stop()
    installed.context.set_offline(True)
    installed.goto("about:blank")
    installed.goto(server.address)
    installed.wait_for_function("() => document.title.startsWith('4 /static/words/en.')")


def test_any_address_of_the_app_opens_offline_and_safe_mode_is_its_own_page(installed, server):
    server.stop()
    installed.goto(server.address + "/logbook/2025-07-08")
    assert installed.evaluate("() => 'drawn' in document.documentElement.dataset")
    installed.goto(server.address + "/safe.html")
    assert installed.title() == "safe"


def test_answers_of_the_api_are_never_kept(installed, server):
    assert installed.evaluate("() => fetch('/api/v1/nothing').then((r) => r.status)") == 404
    server.stop()
    assert installed.evaluate("() => fetch('/api/v1/nothing').catch(() => 'no answer')") == "no answer"


def test_a_new_version_waits_until_it_is_told_and_the_old_shell_is_cleared_then(installed, server, small_pwa):
    before = installed.evaluate(CACHES)
    (small_pwa / "js/parts/twice.js").write_text("export const twice = (number) => 20 * number;\n")
    server.restart(app_of(small_pwa))
    assert installed.evaluate(UPDATE) == "installed"
    installed.reload()
    assert installed.title().startswith("4 ")
    installed.evaluate("""() => new Promise(async (resolve) => {
        navigator.serviceWorker.addEventListener('controllerchange', resolve, { once: true });
        (await navigator.serviceWorker.ready).waiting.postMessage({ type: 'SKIP_WAITING' });
    })""")
    installed.reload()
    installed.wait_for_function("() => document.title.startsWith('40 ')")
    after = installed.evaluate(CACHES)
    assert len(before) == len(after) == 1 and before != after


def test_the_same_files_are_no_new_version(installed, server, small_pwa):
    server.restart(app_of(small_pwa))
    assert installed.evaluate(UPDATE) == "no update"


def test_a_login_page_in_place_of_a_file_never_becomes_part_of_the_shell(installed, server, small_pwa):
    before = installed.evaluate(CACHES)
    (small_pwa / "js/parts/twice.js").write_text("export const twice = (number) => 20 * number;\n")
    real = app_of(small_pwa)

    async def portal(scope, receive, send):
        """The new worker gets through, and then the network wants a room number."""
        if scope["type"] == "http" and scope["path"].startswith("/static/js/main"):
            await send({"type": "http.response.start", "status": 200, "headers": [(b"content-type", b"text/html")]})
            await send({"type": "http.response.body", "body": b"<html>Room number?</html>"})
        else:
            await real(scope, receive, send)

    server.restart(portal)
    assert installed.evaluate(UPDATE) == "redundant"
    assert installed.evaluate(CACHES) == before
    server.stop()
    installed.reload()
    assert installed.title().startswith("4 ")


def test_a_login_page_in_place_of_the_worker_changes_nothing(installed, server):
    async def portal(scope, receive, send):
        if scope["type"] == "http":
            await send({"type": "http.response.start", "status": 200, "headers": [(b"content-type", b"text/html")]})
            await send({"type": "http.response.body", "body": b"<html>Room number?</html>"})

    server.restart(portal)
    assert installed.evaluate(UPDATE) == "update refused"
    server.stop()
    installed.reload()
    assert installed.title().startswith("4 ")


def test_the_emergency_exit_removes_worker_and_shell_and_keeps_what_was_typed(installed, server, small_pwa):
    installed.evaluate("""() => new Promise((resolve, reject) => {
        const opening = indexedDB.open('kept', 1);
        opening.onupgradeneeded = () => opening.result.createObjectStore('rows').put('12.4', 'volts');
        opening.onsuccess = () => { opening.result.close(); resolve(); };
        opening.onerror = reject;
    })""")
    installed.evaluate("() => localStorage.setItem('draft', '12.4')")
    (small_pwa / "js/main.js").write_text("document.title = 'from the server';\n")
    server.restart(app_of(small_pwa, kill_worker=True))
    installed.evaluate("() => navigator.serviceWorker.ready.then((r) => r.update())")
    installed.wait_for_function("() => document.title === 'from the server'")
    assert installed.evaluate(CACHES) == []
    assert installed.evaluate("() => navigator.serviceWorker.getRegistrations().then((all) => all.length)") == 0
    assert installed.evaluate("() => indexedDB.databases().then((all) => all.map((one) => one.name))") == ["kept"]
    assert installed.evaluate("() => localStorage.getItem('draft')") == "12.4"
