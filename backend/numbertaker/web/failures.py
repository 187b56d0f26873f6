"""Every failure as one shape of JSON: a code for programs, a sentence for people, and where each fault is."""

from __future__ import annotations

import logging
from collections.abc import Iterable
from dataclasses import asdict
from typing import Any, Final

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from pydantic import BaseModel, ConfigDict, Field
from starlette.exceptions import HTTPException

from numbertaker.evidence.errors import (
    Ambiguous,
    BadInput,
    Conflict,
    NumbertakerError,
    Problem,
    ToolMissing,
    Unreadable,
)

_LOG: Final = logging.getLogger("numbertaker.web")
TOO_LARGE: Final = "The request is larger than what is taken. Hand over fewer files at once, or smaller ones."
_CODES: Final = {
    400: "bad-request",
    403: "refused",
    404: "not-found",
    405: "not-allowed",
    413: "too-large",
    415: "bad-request",
}


class FailureDetail(BaseModel):
    """One fault: the file, table, row and column where it is, as far as they are known."""

    file: str | None = None
    table: str | None = None
    row: int | None = Field(default=None, description="Counted from 1; the header is row 1.")
    column: str | None = None
    expected: str | None = None
    found: str | None = None


class Failure(BaseModel):
    """The body of every answer that is a failure."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "code": "bad-input",
                    "message": "lines.csv, row 7, column fitted: expected a text, found nothing.",
                    "details": [
                        {
                            "file": "lines.csv",
                            "table": "lines",
                            "row": 7,
                            "column": "fitted",
                            "expected": "a text",
                            "found": "",
                        }
                    ],
                }
            ]
        }
    )

    code: str
    message: str
    details: list[FailureDetail]


def failures(*statuses: int, of_json: bool = True) -> dict[int | str, dict[str, Any]]:
    """The failures of a route, for its description; `of_json` says whether it gives JSON when all is well."""
    said = {
        400: "The request can't be followed.",
        403: "The request came from another site.",
        404: "Nothing of that id is in the archive.",
        409: "It clashes with what is here, or several things answer to it.",
        413: "The upload is larger than what is taken.",
        422: "What was handed over can't be read; the details name each fault.",
        503: "A program that is wanted is not on this machine.",
    }
    if of_json:
        return {status: {"model": Failure, "description": said[status]} for status in statuses}
    body = {"application/json": {"schema": {"$ref": f"#/components/schemas/{Failure.__name__}"}}}
    return {status: {"content": body, "description": said[status]} for status in statuses}


def answer(status: int, code: str, message: str, details: Iterable[FailureDetail] = ()) -> JSONResponse:
    """A failure as a response."""
    body = Failure(code=code, message=message, details=list(details))
    return JSONResponse(body.model_dump(), status_code=status, headers={"Cache-Control": "no-store"})


def details_of(error: NumbertakerError) -> list[FailureDetail]:
    """Where the faults are, of any error of this program."""
    if isinstance(error, BadInput):
        return [_detail(problem) for problem in error.problems]
    if isinstance(error, Unreadable):
        return [FailureDetail(file=error.file, expected="a scan that can be opened", found=error.reason)]
    if isinstance(error, Ambiguous):
        return [FailureDetail(expected=f"one {error.what}", found=found) for found in error.candidates]
    if isinstance(error, Conflict):
        return [FailureDetail(expected="new rows, or the same content", found=row) for row in error.rows]
    if isinstance(error, ToolMissing):
        return [FailureDetail(expected=error.command)]
    return []


def _detail(problem: Problem) -> FailureDetail:
    return FailureDetail(**asdict(problem))


def handle_failures(app: FastAPI) -> None:
    """Give the app its handlers."""
    app.add_exception_handler(NumbertakerError, _on_purpose)
    app.add_exception_handler(RequestValidationError, _not_as_described)
    app.add_exception_handler(HTTPException, _of_http)
    app.add_exception_handler(Exception, _broken)


async def _on_purpose(_: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, NumbertakerError)  # noqa: S101 - the handler is registered for nothing else
    return answer(error.status, error.code, error.message, details_of(error))


async def _not_as_described(_: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, RequestValidationError)  # noqa: S101
    details = [
        FailureDetail(
            column=".".join(str(part) for part in one["loc"][1:]) or None,
            expected=str(one["msg"]),
            found=None if one["type"] == "missing" else str(one.get("input"))[:200],
        )
        for one in error.errors()
    ]
    said = "; ".join(f"{detail.column or 'the body'}: {detail.expected}" for detail in details)
    return answer(422, "bad-request", f"The request can't be followed: {said}.", details)


async def _of_http(request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, HTTPException)  # noqa: S101
    said = {
        404: f"There is nothing at {request.url.path}.",
        405: f"{request.method} is not possible at {request.url.path}.",
        413: TOO_LARGE,
    }
    message = said.get(error.status_code, str(error.detail))
    reply = answer(error.status_code, _CODES.get(error.status_code, "error"), message)
    reply.headers.update(error.headers or {})
    return reply


async def _broken(request: Request, error: Exception) -> JSONResponse:
    """What nobody foresaw: the log has the whole story, the answer only says so."""
    _LOG.error("%s %s broke", request.method, request.url.path, exc_info=error)
    return answer(
        500,
        "broken",
        "Something in the program broke, and nothing of this request was kept. "
        "The server's own output says where; please report it.",
    )
