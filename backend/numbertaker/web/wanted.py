"""What routes ask for: the archive, what draws its scans, what runs its jobs."""

from __future__ import annotations

from typing import Annotated, TypeAlias

from fastapi import Depends, Request

from numbertaker.archive import Archive
from numbertaker.usecases.look.drawing import Drawer
from numbertaker.web.making import Makings
from numbertaker.web.running import Runner


def _archive(request: Request) -> Archive:
    archive: Archive = request.app.state.archive
    return archive


def _drawer(request: Request) -> Drawer:
    drawer: Drawer = request.app.state.drawer
    return drawer


def _runner(request: Request) -> Runner:
    runner: Runner = request.app.state.runner
    return runner


def _makings(request: Request) -> Makings:
    makings: Makings = request.app.state.makings
    return makings


TheArchive: TypeAlias = Annotated[Archive, Depends(_archive)]
TheDrawer: TypeAlias = Annotated[Drawer, Depends(_drawer)]
TheMakings: TypeAlias = Annotated[Makings, Depends(_makings)]
TheRunner: TypeAlias = Annotated[Runner, Depends(_runner)]
