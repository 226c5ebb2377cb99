"""The headers every answer carries, and the check that a request asked for us by name.

Pure ASGI, so that nothing is buffered. The policies are strict because nothing needs more: no inline script or style,
no other origin, no device sensors. The worker's own script carries them too, since a worker takes its policy from its
own response.
"""

from daybank.problems import problem

POLICY = "; ".join((
    "default-src 'none'",
    "script-src 'self' 'wasm-unsafe-eval'",  # the interpreter of the energy model is WebAssembly; no eval of text
    "style-src 'self'",
    "img-src 'self' data:",
    "connect-src 'self'",
    "manifest-src 'self'",
    "worker-src 'self'",
    "form-action 'self'",
    "base-uri 'none'",
    "frame-ancestors 'none'",
))
ALWAYS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "accelerometer=(), camera=(), display-capture=(), geolocation=(), gyroscope=(), "
                          "magnetometer=(), microphone=(), midi=(), payment=(), usb=()",
}


def cache_control(path: str, status: int) -> str:
    """How long an answer may be kept: for ever if its name holds its content, else to be asked about each time."""
    if path.startswith("/static/") and status in (200, 304):
        return "public, max-age=31536000, immutable"
    if path.startswith("/api/") or status >= 400:
        return "no-store"
    return "no-cache"


class Headers:
    """ASGI middleware: adds the headers above, and refuses a Host that is not ours."""

    def __init__(self, app, *, accepted_names: frozenset[str]):
        self.app = app
        self.accepted_names = accepted_names

    async def __call__(self, scope, receive, send):
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def send_with_headers(message):
            if message["type"] == "http.response.start":
                added = {**ALWAYS, "Cache-Control": cache_control(scope["path"], message["status"])}
                message["headers"] = [*message["headers"],
                                      *((name.lower().encode(), value.encode()) for name, value in added.items())]
            await send(message)

        name = host_name(scope["headers"])
        app = self.app
        if name not in self.accepted_names:
            app = problem(421, f"This server does not answer to the name {name!r}; if that is one of its names, start "
                               f"it with --name {name or 'NAME'}.")
        await app(scope, receive, send_with_headers)


def host_name(headers) -> str:
    """Host of the request without its port, in lower case; empty if it has none."""
    host = next((value for key, value in headers if key == b"host"), b"").decode("latin-1").lower()
    bare, colon, port = host.rpartition(":")
    return bare if colon and port.isdigit() else host
