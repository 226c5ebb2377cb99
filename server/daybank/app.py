"""create_app(settings): the server that gives the phone its shell.

Everything served here is made once at start-up and is the same for everyone; a person's data never passes through
these routes.
"""

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from daybank.assets import Asset, Shell, build_shell, kill_worker
from daybank.headers import Headers
from daybank.problems import http_fault, own_fault
from daybank.settings import Settings


def create_app(settings: Settings, shell: Shell | None = None) -> Starlette:
    """The ASGI application. Raises AssetError if the pwa folder does not fit together."""
    shell = shell or build_shell()
    assets = dict(shell.assets)
    if settings.kill_worker:
        assets["/sw.js"] = kill_worker()

    async def from_shell(request: Request) -> Response:
        asset = assets.get(request.url.path)
        if asset is None:
            raise HTTPException(404)
        return answer(asset, request.headers.get("accept-encoding", ""), request.headers.get("if-none-match", ""))

    return Starlette(
        routes=[Route("/{path:path}", from_shell, methods=["GET"])],
        middleware=[Middleware(Headers, accepted_names=settings.accepted_names)],
        exception_handlers={HTTPException: http_fault, Exception: own_fault},
    )


def answer(asset: Asset, accept_encoding: str, if_none_match: str) -> Response:
    """The asset, gzipped if the reader takes that, or 304 if the reader has it already."""
    zipped = asset.gzipped is not None and accepts_gzip(accept_encoding)
    # RFC 9110, section 8.8.3: two encodings of one file are two representations, so they need two tags
    tag = f'"{asset.digest[:16]}{"-gzip" if zipped else ""}"'
    headers = {"ETag": tag, "Vary": "Accept-Encoding"}
    if has_tag(if_none_match, tag):
        return Response(status_code=304, headers=headers)
    if zipped:
        headers["Content-Encoding"] = "gzip"
    headers["Content-Type"] = asset.media_type
    return Response(asset.gzipped if zipped else asset.body, headers=headers)


def accepts_gzip(accept_encoding: str) -> bool:
    """RFC 9110, section 12.5.3: named, or covered by *, and not given the quality 0."""
    qualities = {}
    for part in accept_encoding.lower().split(","):
        name, _, parameters = part.partition(";")
        quality = parameters.replace(" ", "").removeprefix("q=") or "1"
        qualities[name.strip()] = quality.strip("0.") != ""
    return qualities.get("gzip", qualities.get("*", False))


def has_tag(if_none_match: str, tag: str) -> bool:
    """If-None-Match compares weakly: W/ in front, as a proxy may add, makes no difference."""
    given = [item.strip().removeprefix("W/") for item in if_none_match.split(",")]
    return tag in given or if_none_match.strip() == "*"
