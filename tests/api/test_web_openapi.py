"""The description of the interface: complete, and the same as the file that the pages use."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]


def test_the_committed_description_is_the_program_s() -> None:
    """frontend/openapi.json is what scripts/openapi writes; where it is stale, the script says so."""
    done = subprocess.run(
        [sys.executable, ROOT / "scripts" / "openapi", "--check"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def operations(schema: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {f"{verb} {path}": said for path, verbs in schema["paths"].items() for verb, said in verbs.items()}


def test_every_route_says_what_it_is_for(demo: Any) -> None:
    """Each has a summary, a description, a tag and a name of its own, and says what failures look like."""
    said = operations(demo.get("/api/openapi.json").json())
    assert len(said) >= 25
    assert len({route["operationId"] for route in said.values()}) == len(said)
    for name, route in said.items():
        assert route["summary"], name
        assert route["description"], name
        assert route["tags"], name
        failure = route["responses"]["422"]["content"]["application/json"]["schema"]["$ref"]
        assert failure.endswith("/Failure"), name


def test_the_bodies_have_examples(demo: Any) -> None:
    """A newcomer sees what to send: one example for each kind of decision."""
    schemas = demo.get("/api/openapi.json").json()["components"]["schemas"]
    kinds = [example["kind"] for example in schemas["NewDecision"]["examples"]]
    assert kinds == ["cell", "link", "finding", "authority", "looked", "checked"]
    for name in ("TakingBack", "WhatToRead", "Failure"):
        assert schemas[name]["examples"], name
