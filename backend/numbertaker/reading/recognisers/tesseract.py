"""Tesseract through pytesseract: the reader where ONNX Runtime is missing, and a second opinion.

A process start costs more than a cell, so a whole batch goes through one process as a list file. One
missing picture would abort the batch, so the pictures are written and counted first.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

import cv2
import numpy as np
import numpy.typing as npt

from numbertaker.evidence.errors import ToolMissing
from numbertaker.reading.recognisers import NOTHING, Crop, Reading

BATCH: Final = 40
"""Lists much longer than this have been reported to hang."""
PATIENCE: Final = 60
"""Seconds that one batch may take."""
HEIGHT: Final = 48
MARGIN: Final = 12


class TesseractRecogniser:
    """One process for each batch of crops, one thread each."""

    name = "tesseract"

    def read(self, crops: Sequence[Crop]) -> list[Reading]:
        """Read crops one text line each (page segmentation mode 7)."""
        out: list[Reading] = []
        for start in range(0, len(crops), BATCH):
            out += _read_batch(crops[start : start + BATCH])
        return out


def whiten(picture: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
    """Paper and its grain to white, capitals about 30 pixels high, a white margin round it."""
    grey = cv2.cvtColor(picture, cv2.COLOR_BGR2GRAY)
    scale = HEIGHT / max(1, grey.shape[0])
    how = cv2.INTER_AREA if scale < 1 else cv2.INTER_CUBIC
    grey = cv2.resize(grey, (max(8, round(grey.shape[1] * scale)), HEIGHT), interpolation=how)
    paper, ink = float(np.percentile(grey, 85)), float(np.percentile(grey, 1))
    level = paper - 0.25 * max(20.0, paper - ink)
    stretched = np.clip((grey.astype(np.float32) - ink) * 255 / max(1.0, level - ink), 0, 255).astype(
        np.uint8
    )
    return np.asarray(
        cv2.copyMakeBorder(stretched, MARGIN, MARGIN, MARGIN, MARGIN, cv2.BORDER_CONSTANT, value=255),
        np.uint8,
    )


def _read_batch(crops: Sequence[Crop]) -> list[Reading]:
    import pytesseract

    os.environ.setdefault("OMP_THREAD_LIMIT", "1")
    with tempfile.TemporaryDirectory(prefix="numbertaker-") as folder:
        paths = [Path(folder) / f"{i:03}.png" for i in range(len(crops))]
        for path, crop in zip(paths, crops, strict=True):
            cv2.imwrite(str(path), whiten(crop.picture))
        listing = Path(folder) / "list.txt"
        listing.write_text("\n".join(map(str, paths)) + "\n", encoding="utf-8")
        data: dict[str, list[Any]] = pytesseract.image_to_data(
            str(listing), config="--psm 7", timeout=PATIENCE, output_type=pytesseract.Output.DICT
        )
    return _by_page(data, len(crops))


def _by_page(data: dict[str, list[Any]], count: int) -> list[Reading]:
    """Tesseract numbers the pictures of a list as pages from 1; the worst word decides the confidence."""
    words: list[list[tuple[str, float]]] = [[] for _ in range(count)]
    for page, text, sure in zip(data["page_num"], data["text"], data["conf"], strict=True):
        if float(sure) >= 0 and str(text).strip() and 1 <= int(page) <= count:
            words[int(page) - 1].append((str(text).strip(), float(sure) / 100))
    return [
        Reading(" ".join(t for t, _ in line), min(c for _, c in line)) if line else NOTHING for line in words
    ]


def make() -> TesseractRecogniser:
    """A recogniser, or `ToolMissing` that says what to install."""
    import pytesseract

    if shutil.which(pytesseract.pytesseract.tesseract_cmd) is None:
        raise ToolMissing("Tesseract", "sudo apt-get install tesseract-ocr", purpose="read cards")
    return TesseractRecogniser()
