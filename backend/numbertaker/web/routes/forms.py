"""Learnt forms of cards: what is known, what a card shows, which source has which, sharing them as files."""

from __future__ import annotations

from typing import Annotated, Any, Final, TypeAlias

from fastapi import APIRouter, Path, Response
from pydantic import BaseModel, ConfigDict, Field

from numbertaker.usecases import forms
from numbertaker.usecases.forms import FormView
from numbertaker.web.failures import failures
from numbertaker.web.wanted import TheArchive

router = APIRouter(tags=["reading"])

Name: TypeAlias = Annotated[str, Path(max_length=60)]
_EXAMPLE: Final[dict[str, Any]] = {
    "format": "numbertaker-form/1",
    "name": "shed-card",
    "side": "component",
    "columns": [{"title": "Engine", "field": "engine"}, {"title": "Put on", "field": "fitted"}],
    "edges": [0.0, 0.4, 1.0],
    "ruled": True,
    "paper": [238, 228, 205],
}


class Named(BaseModel):
    """Which form the cards of a source have; '' leaves it to the program, card by card."""

    model_config = ConfigDict(extra="forbid", json_schema_extra={"examples": [{"form": "shed-card"}]})

    form: Annotated[str, Field(max_length=60)]


class Titled(BaseModel):
    """A column: its printed title, and the field that it holds ('' for none)."""

    model_config = ConfigDict(extra="forbid")

    title: Annotated[str, Field(max_length=200)]
    field: Annotated[str, Field(max_length=40)]


class FormBody(BaseModel):
    """A form as it is kept and shared. `edges` run from 0 at the table's left side to 1 at its right, one
    more than columns; `paper` is its usual colour, red, green and blue.
    """

    model_config = ConfigDict(extra="forbid", json_schema_extra={"examples": [_EXAMPLE]})

    format: Annotated[str, Field(max_length=60)]
    name: Annotated[str, Field(max_length=60)] = ""
    side: Annotated[str, Field(max_length=40)]
    columns: Annotated[list[Titled], Field(max_length=40)]
    edges: Annotated[list[float], Field(max_length=41)]
    ruled: bool
    paper: Annotated[list[int], Field(min_length=3, max_length=3)]


@router.get("/forms", summary="The learnt forms of cards")
def learnt_forms(archive: TheArchive) -> list[FormView]:
    """Each with its columns, and the sources whose cards are said to have it."""
    return forms.form_views(archive)


@router.get(
    "/forms/{name}.json",
    summary="A form as a file to share",
    response_class=Response,
    responses={
        200: {"description": "The form.", "content": {"application/json": {"schema": {"type": "object"}}}},
        **failures(404, 422, of_json=False),
    },
)
def form_file(archive: TheArchive, name: Name) -> Response:
    """What another archive takes in."""
    return Response(
        forms.text_of_form(archive, name),
        media_type="application/json",
        headers={"Content-Disposition": f'attachment; filename="{name}.json"', "Cache-Control": "no-store"},
    )


@router.put("/forms/{name}", summary="Keep a form", responses=failures(403, 422))
def keep_learnt_form(archive: TheArchive, name: Name, form: FormBody) -> FormView:
    """Learnt from a card and put right, or shared by somebody; one of that name is replaced."""
    return forms.form_view(forms.keep_told(archive, name, form.model_dump()), forms.chosen(archive))


@router.delete("/forms/{name}", status_code=204, summary="Forget a form", responses=failures(403, 404))
def forget_form(archive: TheArchive, name: Name) -> None:
    """Sources for which it was chosen are left to the program again. Cards stay as they were read."""
    forms.drop_form(archive, name)


@router.get(
    "/cards/{card_id:path}/form",
    summary="The form that a card's own scan shows",
    responses=failures(404, 409, 422),
)
def form_of_card(archive: TheArchive, card_id: str) -> FormBody:
    """Found anew on its first scan, still without a name: put its columns right, then keep it. Takes some
    seconds.
    """
    found: dict[str, Any] = forms.columns_of_card(archive, card_id).to_json()
    return FormBody.model_validate(found)


@router.put(
    "/sources/{source_id:path}/form",
    status_code=204,
    summary="Say which form the cards of a source have",
    responses=failures(403, 404, 422),
)
def choose_form(archive: TheArchive, source_id: str, chosen: Named) -> None:
    """It holds for whatever is read from then on; where a card does not fit, its reading says so."""
    forms.choose_form(archive, source_id, chosen.form)
