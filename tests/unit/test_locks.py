"""What `requirements/*.lock` promise: the same packages everywhere, whole, and free to use.

The versions and hashes come from the package index when `./scripts/lock` runs; what is checked here
is that nothing else got in and that nothing is missing on a system that the lock was not made on.
"""

from __future__ import annotations

import re
from importlib.metadata import distribution
from pathlib import Path
from typing import Final

import pytest
from packaging.markers import default_environment
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT: Final = Path(__file__).parents[2]
LOCKS: Final = sorted((ROOT / "requirements").glob("*.lock"))
SYSTEMS: Final = {
    "Linux": {"sys_platform": "linux", "platform_system": "Linux", "os_name": "posix"},
    "macOS": {"sys_platform": "darwin", "platform_system": "Darwin", "os_name": "posix"},
    "Windows": {"sys_platform": "win32", "platform_system": "Windows", "os_name": "nt"},
}


def pins(lock: str) -> dict[str, Requirement]:
    """The requirements of a lock by name; each line `name==version [; marker] \\`."""
    text = (ROOT / "requirements" / f"{lock}.lock").read_text(encoding="utf-8")
    lines = re.findall(r"^([A-Za-z0-9].*?)\s*\\?$", text, flags=re.MULTILINE)
    return {canonicalize_name(r.name): r for r in map(Requirement, lines)}


@pytest.mark.parametrize("lock", LOCKS, ids=lambda path: path.name)
def test_a_lock_names_no_place(lock: Path) -> None:
    """A lock holds names, versions and hashes: no index, no address, no folder of one machine."""
    text = lock.read_text(encoding="utf-8")
    assert re.findall(r"://|^\s*--(?!hash=sha256:)\S+|^/|@ ", text, flags=re.MULTILINE) == []
    assert {str(pin.specifier)[:2] for pin in pins(lock.stem).values()} == {"=="}


def test_the_locks_agree() -> None:
    """What the program runs with is exactly what it is tested with."""
    run, dev = pins("run"), pins("dev")
    assert {name: dev[name].specifier for name in run} == {name: pin.specifier for name, pin in run.items()}


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_lock_is_whole_on_every_system(system: str) -> None:
    """Whatever a locked package needs on Linux, macOS or Windows stands in the lock itself."""
    environment = default_environment() | SYSTEMS[system]
    locked = pins("run")
    here = [name for name, pin in locked.items() if pin.marker is None or pin.marker.evaluate()]
    missing = {
        f"{name} needs {needed.name}"
        for name in here
        for needed in map(Requirement, distribution(name).requires or ())
        if needed.marker is None or needed.marker.evaluate(environment | {"extra": ""})
        if canonicalize_name(needed.name) not in locked
    }
    assert missing == set()


def test_one_picture_library_and_no_training_one() -> None:
    """One build of OpenCV gets in, the one without a screen, and no deep-learning framework."""
    names = set(pins("dev"))
    assert {name for name in names if name.startswith("opencv")} == {"opencv-python-headless"}
    assert names.isdisjoint({"torch", "paddlepaddle", "tensorflow", "pillow-heif"})


def test_nothing_that_is_loaded_is_under_the_gpl() -> None:
    """Every package of the running program states a licence that lets it be loaded by an MIT one."""
    bound = set()
    for name, pin in pins("run").items():
        if pin.marker is None or pin.marker.evaluate():
            metadata = distribution(name).metadata
            stated = [metadata.get("License-Expression", ""), *metadata.get_all("Classifier", [])]
            if re.search(r"(?<!L)(?<!Lesser )\bA?GPL|GNU (Affero )?General Public", " ".join(stated)):
                bound.add(name)
    assert bound == set()
