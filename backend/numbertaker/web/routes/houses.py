"""House styles of the archive's own, and the comparisons that are kept for a component."""

from __future__ import annotations

from typing import Annotated, Final, TypeAlias

from fastapi import APIRouter, Path, Response
from pydantic import BaseModel, ConfigDict, Field

from numbertaker.usecases import houses
from numbertaker.usecases.houses import ComparisonView, StyleView
from numbertaker.web.failures import failures
from numbertaker.web.wanted import TheArchive

router = APIRouter(tags=["histories"])

Name: TypeAlias = Annotated[str, Path(max_length=60)]
_TOML: Final = 'name = "our-journal"\ntitle = "Our journal"\n\n[titles]\npublished = "italic"\n'


class StyleText(BaseModel):
    """A house style as the text of its file."""

    model_config = ConfigDict(extra="forbid", json_schema_extra={"examples": [{"text": _TOML}]})

    text: Annotated[str, Field(max_length=100_000, description="TOML, as docs/publishing.md describes.")]


class Lines(BaseModel):
    """Comparisons, each in one line: `SENTENCE :: QUANTITY TIMES MEASURE`, and `@ SOURCE, PLACE` after it."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {
                    "lines": [
                        "It ran 30 times round the Earth. :: miles 30 equator",
                        "It served twice the usual 20 years. :: years 2 years 20 @ S7, page 12",
                    ]
                }
            ]
        },
    )

    lines: Annotated[list[Annotated[str, Field(max_length=2_000)]], Field(max_length=houses.MOST)]


@router.get("/styles", summary="The house styles to choose from")
def styles(archive: TheArchive) -> list[StyleView]:
    """Those of the program first, then those that the archive keeps."""
    return houses.styles(archive)


@router.get(
    "/styles/{name}.toml",
    summary="The text of a house style",
    response_class=Response,
    responses={
        200: {"description": "TOML.", "content": {"application/toml": {"schema": {"type": "string"}}}},
        **failures(404, 422, of_json=False),
    },
)
def style_text(archive: TheArchive, name: Name) -> Response:
    """To begin one of your own with."""
    return Response(houses.text_of_style(archive, name), media_type="text/plain; charset=utf-8")


@router.put("/styles/{name}", summary="Keep a house style", responses=failures(403, 422))
def keep_style(archive: TheArchive, name: Name, style: StyleText) -> StyleView:
    """It is checked first, and what is wrong is named with its place; one of that name is replaced."""
    return houses.keep_style(archive, name, style.text)


@router.delete("/styles/{name}", status_code=204, summary="Drop a house style", responses=failures(403, 404))
def drop_style(archive: TheArchive, name: Name) -> None:
    """Documents that were made in it stay as they are."""
    houses.drop_style(archive, name)


@router.get(
    "/components/{component_id:path}/comparisons",
    summary="The comparisons that are kept for a component",
    responses=failures(404, 409, 422),
)
def comparisons(archive: TheArchive, component_id: str) -> list[ComparisonView]:
    """Each with what the figures say of it now."""
    return houses.comparisons(archive, component_id)


@router.put(
    "/components/{component_id:path}/comparisons",
    summary="Keep comparisons for a component",
    responses=failures(403, 404, 409, 422),
)
def keep_comparisons(archive: TheArchive, component_id: str, kept: Lines) -> list[ComparisonView]:
    """They stand in every document of it from then on; an empty list drops them."""
    return houses.keep_comparisons(archive, component_id, kept.lines)
