"""What workers take: two against one, their memory, and a sheet as large as any."""

from __future__ import annotations

import os
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Final

TIMES: Final = 3
"""So often each card is given to the workers: with few cards one would wait for the other's last."""
A3: Final = (9921, 7016)
"""The pixels of a sheet of A3 (ISO 216) at 600 to the inch."""


def tell_throughput(cards: Sequence[Path]) -> None:
    """Two workers against one on the same cards, and the memory that a worker took at most."""
    import multiprocessing
    from concurrent.futures import ProcessPoolExecutor

    from numbertaker.usecases.reading_task import read_pages

    before, walls, peaks = os.getloadavg()[0], {}, {}
    jobs = [[(str(path.resolve()), 1, {"name": path.name})] for path in cards]
    for crew in (1, 2):
        with ProcessPoolExecutor(crew, mp_context=multiprocessing.get_context("spawn")) as pool:
            list(pool.map(read_pages, jobs[:crew] * 2))  # every worker is warm
            start = time.perf_counter()
            list(pool.map(read_pages, jobs * TIMES))
            walls[crew] = time.perf_counter() - start
            peaks[crew] = max(pool.map(peak, range(4 * crew)))
    idle = "it was idle" if before < 0.5 else "it was not idle, and this says little"
    print(
        f"two workers {walls[1] / walls[2]:.2f} times one (bar 1.8): {TIMES * len(jobs) / walls[1]:.2f} and "
        f"{TIMES * len(jobs) / walls[2]:.2f} cards a second; the machine had {os.cpu_count()} cores and a "
        f"load of {before:.1f} before: {idle}"
    )
    print(f"peak memory of a worker: {max(peaks.values()):.0f} MB (bar 600)")


def tell_large(card: Path, folder: Path) -> None:
    """A sheet of A3 at 600 dots per inch, as a worker of its own reads it: its time and memory."""
    import multiprocessing
    from concurrent.futures import ProcessPoolExecutor

    import cv2

    from numbertaker.reading.pages import open_page
    from numbertaker.usecases.reading_task import read_pages

    scan = open_page(card.read_bytes(), 1, name=card.name)
    sheet = (folder / "a3-600dpi.jpg").resolve()
    cv2.imwrite(str(sheet), cv2.resize(scan, A3, interpolation=cv2.INTER_CUBIC))
    with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn")) as pool:
        pool.submit(read_pages, [(str(card.resolve()), 1, {"name": card.name})]).result()
        start = time.perf_counter()
        told = pool.submit(read_pages, [(str(sheet), 1, {"name": sheet.name})]).result()
        wall, memory = time.perf_counter() - start, pool.submit(peak, 0).result()
    lines = len(told["pages"][0]["lines"])
    print(f"a sheet of A3 at 600 dpi: {wall:.1f} s, {lines} lines, {memory:.0f} MB (bar 600)")


def peak(_: int) -> float:
    """The most memory that this process ever had, in MB, as Linux tells it; 0 where it doesn't.

    What `resource` tells would count the process that began this one, too.
    """
    told = Path("/proc/self/status")
    lines = told.read_text(encoding="utf-8").splitlines() if told.exists() else []
    return next((int(line.split()[1]) / 1024 for line in lines if line.startswith("VmHWM:")), 0.0)
