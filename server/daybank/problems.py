"""Faults as the phone reads them: RFC 9457 problem details, one shape for every error of the server."""

import json
from http import HTTPStatus

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response


def problem(status: int, detail: str, headers: dict[str, str] | None = None) -> Response:
    """An application/problem+json answer. `detail` is one sentence: what was asked, what there is, what to do."""
    body = {"type": "about:blank", "title": HTTPStatus(status).phrase, "status": status, "detail": detail}
    return Response(json.dumps(body, ensure_ascii=False), status_code=status, headers=headers,
                    media_type="application/problem+json")


async def http_fault(request: Request, fault: HTTPException) -> Response:
    """404, 405 and the like, raised by the router or by a handler."""
    sentence = {
        404: f"There is nothing at {request.url.path}; open / instead.",
        405: f"{request.method} is not accepted at {request.url.path}; see the Allow header.",
    }.get(fault.status_code, fault.detail)
    return problem(fault.status_code, sentence, dict(fault.headers or {}))


async def own_fault(request: Request, fault: Exception) -> Response:
    """500: the trace goes to the log, never to the reader."""
    return problem(500, "The server made a mistake; what you typed is still on the phone. Try again later.")
