import gzip

import pytest

from daybank.app import accepts_gzip, create_app, has_tag
from daybank.assets import build_shell
from daybank.headers import POLICY, cache_control, host_name
from daybank.settings import Settings


def address(client, ending):
    """Address of the first file in the worker's list that ends so."""
    worker = client.get("/sw.js").text
    return next(line.split('"')[1] for line in worker.splitlines() if line.strip().startswith('"/') and ending in line)


# what is served

@pytest.mark.parametrize("path, media_type", [
    ("/", "text/html; charset=utf-8"),
    ("/safe.html", "text/html; charset=utf-8"),
    ("/sw.js", "text/javascript; charset=utf-8"),
    ("/manifest.webmanifest", "application/manifest+json"),
])
def test_pages_worker_and_manifest_are_served_as_what_they_are(small_client, path, media_type):
    reply = small_client.get(path)
    assert (reply.status_code, reply.headers["content-type"]) == (200, media_type)


def test_webassembly_is_served_under_its_own_type_so_that_it_compiles_while_it_loads(small_pwa):
    from starlette.testclient import TestClient
    (small_pwa / "vendor/micropython.wasm").write_bytes(b"\0asm")
    client = TestClient(create_app(Settings(), build_shell(small_pwa, model=b"{}")), base_url="http://localhost")
    assert client.get(address(client, ".wasm")).headers["content-type"] == "application/wasm"


def test_modules_of_either_ending_are_javascript(small_pwa):
    from starlette.testclient import TestClient
    (small_pwa / "vendor/micropython.mjs").write_text("export {};")
    client = TestClient(create_app(Settings(), build_shell(small_pwa, model=b"{}")), base_url="http://localhost")
    assert client.get(address(client, ".mjs")).headers["content-type"].startswith("text/javascript")


def test_head_gives_the_headers_without_the_body(small_client):
    whole, head = small_client.get("/"), small_client.head("/")
    assert head.status_code == 200 and head.content == b""
    assert head.headers["etag"] == whole.headers["etag"]
    assert head.headers["content-length"] == whole.headers["content-length"]


# headers

@pytest.mark.parametrize("path", ["/", "/sw.js", "/static/nothing.js", "/api/nothing"])
def test_every_answer_carries_the_policies(small_client, path):
    headers = small_client.get(path).headers
    assert headers["content-security-policy"] == POLICY
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["cross-origin-opener-policy"] == "same-origin"
    assert "geolocation=()" in headers["permissions-policy"]


def test_the_worker_scripts_carry_the_policy_too(small_client):
    assert small_client.get(address(small_client, "/js/main")).headers["content-security-policy"] == POLICY


def test_the_policy_allows_webassembly_and_nothing_inline():
    rules = dict(rule.split(" ", 1) for rule in POLICY.split("; "))
    assert rules["script-src"] == "'self' 'wasm-unsafe-eval'"
    assert rules["default-src"] == "'none'" == rules["frame-ancestors"] == rules["base-uri"]
    assert "unsafe-inline" not in POLICY and "'unsafe-eval'" not in POLICY and "http" not in POLICY


@pytest.mark.parametrize("path, status, words", [
    ("/", 200, "no-cache"),
    ("/sw.js", 200, "no-cache"),
    ("/sw.js", 304, "no-cache"),
    ("/static/js/main.00000000.js", 200, "public, max-age=31536000, immutable"),
    ("/static/js/main.00000000.js", 304, "public, max-age=31536000, immutable"),
    ("/static/js/main.00000000.js", 404, "no-store"),
    ("/api/v1/anything", 200, "no-store"),
])
def test_only_content_named_files_are_kept_for_ever(path, status, words):
    assert cache_control(path, status) == words


# compression and tags

def test_a_reader_that_takes_gzip_gets_the_same_bytes_after_unpacking(small_client):
    with small_client.stream("GET", "/sw.js", headers={"accept-encoding": "gzip"}) as reply:
        packed = b"".join(reply.iter_raw())
    plain = small_client.get("/sw.js", headers={"accept-encoding": "identity"})
    assert reply.headers["content-encoding"] == "gzip" and "content-encoding" not in plain.headers
    assert gzip.decompress(packed) == plain.content
    assert reply.headers["vary"] == plain.headers["vary"] == "Accept-Encoding"
    assert reply.headers["etag"] != plain.headers["etag"]


@pytest.mark.parametrize("given, taken", [
    ("gzip", True), ("br, gzip;q=0.5", True), ("*", True), ("GZIP", True),
    ("", False), ("br", False), ("gzip;q=0", False), ("gzip; q=0.0", False), ("*, gzip;q=0", False), ("*;q=0", False),
])
def test_gzip_is_sent_only_where_it_is_accepted(given, taken):
    assert accepts_gzip(given) is taken


def test_a_reader_that_has_it_already_gets_304_without_a_body(small_client):
    tag = small_client.get("/").headers["etag"]
    reply = small_client.get("/", headers={"if-none-match": tag})
    assert (reply.status_code, reply.content, reply.headers["etag"]) == (304, b"", tag)


def test_a_reader_that_has_an_older_one_gets_the_new_one(small_client):
    assert small_client.get("/", headers={"if-none-match": '"0000"'}).status_code == 200


@pytest.mark.parametrize("given, has", [
    ('"a"', True), ('W/"a"', True), ('"b", "a"', True), ("*", True), ('"b"', False), ("", False), ("a", False)])
def test_tags_are_compared_weakly(given, has):
    assert has_tag(given, '"a"') is has


# refusals

def test_an_unknown_address_is_answered_in_the_one_error_shape(small_client):
    reply = small_client.get("/nowhere")
    assert reply.headers["content-type"] == "application/problem+json"
    assert reply.json() == {"type": "about:blank", "title": "Not Found", "status": 404,
                            "detail": "There is nothing at /nowhere; open / instead."}


def test_a_path_out_of_the_folder_is_nothing(small_client):
    assert small_client.get("/static/../../pyproject.toml").status_code == 404
    assert small_client.get("/static/%2e%2e/%2e%2e/pyproject.toml").status_code == 404


def test_another_method_is_refused_and_told_what_is_allowed(small_client):
    reply = small_client.post("/")
    assert (reply.status_code, reply.headers["content-type"]) == (405, "application/problem+json")
    assert set(reply.headers["allow"].split(", ")) == {"GET", "HEAD"}


@pytest.mark.parametrize("host", ["evil.example", "evil.example:8127", "", "127.0.0.1.evil.example"])
def test_a_request_for_another_host_is_refused(small_client, host):
    reply = small_client.get("/", headers={"host": host})
    assert reply.status_code == 421
    assert "start it with --name" in reply.json()["detail"]
    assert reply.headers["content-security-policy"] == POLICY


@pytest.mark.parametrize("host", ["127.0.0.1", "127.0.0.1:8127", "LOCALHOST:1", "[::1]:8127", "[::1]"])
def test_a_request_for_this_machine_is_answered(small_client, host):
    assert small_client.get("/", headers={"host": host}).status_code == 200


def test_the_port_is_no_part_of_the_name():
    assert host_name([(b"host", b"[::1]:80")]) == "[::1]"
    assert host_name([(b"host", b"Camp.example:8127")]) == "camp.example"
    assert host_name([]) == ""


def test_a_fault_of_our_own_shows_no_trace(small_client, monkeypatch):
    monkeypatch.setattr("daybank.app.answer", lambda *_: 1 / 0)
    reply = small_client.get("/")
    assert reply.status_code == 500
    assert reply.headers["content-type"] == "application/problem+json"
    assert "ZeroDivision" not in reply.text and "Traceback" not in reply.text


# the emergency exit

def test_the_kill_switch_serves_the_worker_that_removes_itself(small_pwa):
    from starlette.testclient import TestClient
    app = create_app(Settings(kill_worker=True), build_shell(small_pwa, model=b"{}"))
    reply = TestClient(app, base_url="http://localhost").get("/sw.js")
    assert reply.content == (small_pwa / "kill-sw.js").read_bytes()
    assert reply.headers["cache-control"] == "no-cache"
