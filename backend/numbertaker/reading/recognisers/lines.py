"""What all ONNX line recognisers have in common: a session on one thread, lines of one height, texts out of
its steps."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import cv2
import numpy as np
import numpy.typing as npt

from numbertaker.reading.recognisers import NOTHING, Crop, Reading
from numbertaker.reading.recognisers.ctc import best_texts, likeliest_path

BATCH: Final = 6
"""Lines read at a time: on a processor small batches are the fastest."""
STRUCK: Final = "~"
"""A network that has this sign puts it before each word that is struck out."""
ALIKE: Final = str.maketrans(
    {"“": '"', "”": '"', "″": '"', "〃": '"', "‘": "'", "’": "'", "′": "'", "–": "-"}
)


@dataclass(frozen=True, slots=True)
class Layout:
    """How a network takes its lines: their height, and their widths at least, at most and in steps of, in
    pixels."""

    height: int
    narrowest: int
    widest: int
    step: int


class LineRecogniser:
    """Reads crops with one session and one thread; a session is kept by whoever made it.

    `signs` are those that a text may have, `columns` where the network's answer has them, 'none' first.
    """

    def __init__(self, name: str, session: Any, layout: Layout, signs: str, columns: Sequence[int]) -> None:
        self.name = name
        self._session, self._layout = session, layout
        self._input: str = session.get_inputs()[0].name
        self._signs, self._columns = signs, list(columns)

    def read(self, crops: Sequence[Crop]) -> list[Reading]:
        """Read each crop by itself: what it says does not depend on what else is in its batch."""
        out: list[Reading] = [NOTHING] * len(crops)
        lines = [self._line(crop.picture) for crop in crops]
        for batch in self._batches(lines):
            for i, steps in zip(batch, self._run([lines[i] for i in batch]), strict=True):
                out[i] = self._reading(steps, lines[i].shape[1] / self._padded(lines[i].shape[1]))
        return out

    def _batches(self, lines: Sequence[npt.NDArray[np.float32]]) -> Iterator[list[int]]:
        """Lines that are padded to one width, a few at a time."""
        by_width: dict[int, list[int]] = {}
        for i, line in enumerate(lines):
            if line.shape[1]:
                by_width.setdefault(self._padded(line.shape[1]), []).append(i)
        for width in sorted(by_width):
            alike = by_width[width]
            yield from (alike[start : start + BATCH] for start in range(0, len(alike), BATCH))

    def _padded(self, width: int) -> int:
        step = self._layout.step
        return max(self._layout.narrowest, math.ceil(width / step) * step)

    def _line(self, picture: npt.NDArray[np.uint8]) -> npt.NDArray[np.float32]:
        """Bring a crop to the network's height, values -1 to 1."""
        height, width = picture.shape[:2]
        tall = self._layout.height
        if height < 2 or width < 2:
            return np.zeros((tall, 0, 3), np.float32)
        wide = min(self._layout.widest, max(8, math.ceil(width * tall / height)))
        how = cv2.INTER_AREA if height > tall else cv2.INTER_CUBIC
        line = cv2.resize(picture, (wide, tall), interpolation=how).astype(np.float32)
        return np.asarray(line / 127.5 - 1.0, np.float32)

    def _run(self, lines: list[npt.NDArray[np.float32]]) -> npt.NDArray[Any]:
        block = np.zeros((len(lines), 3, self._layout.height, self._padded(lines[0].shape[1])), np.float32)
        for place, line in zip(block, lines, strict=True):
            place[:, :, : line.shape[1]] = line.transpose(2, 0, 1)
        answer = self._session.run(None, {self._input: block})[0]
        return np.asarray(answer)[:, :, self._columns]

    def _reading(self, steps: npt.NDArray[Any], share: float) -> Reading:
        """Texts that differ in the shape of their quotation marks only are one text.

        `share` is how much of the steps the crop's own width takes up; the rest is padding.
        """
        merged: dict[str, float] = {}
        for text, p in best_texts(steps, self._signs):
            plain = text.translate(ALIKE).strip()
            merged[plain] = merged.get(plain, 0.0) + p
        texts = sorted(merged.items(), key=lambda item: -item[1])
        path, at = likeliest_path(steps, self._signs)
        places = tuple((a + 0.5) / (len(steps) * share) for a in at) if path == texts[0][0] else ()
        return Reading(texts[0][0], min(1.0, texts[0][1]), tuple(texts[1:]), places, STRUCK in self._signs)


def one_thread(path: Path) -> Any:
    """A session that keeps to one thread and gives its memory back."""
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    options.enable_cpu_mem_arena = False
    options.log_severity_level = 3
    return onnxruntime.InferenceSession(str(path), options, providers=["CPUExecutionProvider"])
