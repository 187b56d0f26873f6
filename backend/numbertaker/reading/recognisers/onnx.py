"""The PP-OCRv6 small text-line recogniser, run under ONNX Runtime on one thread.

The model travels inside the PyPI wheel `rapidocr` (Apache-2.0); only the file is used, since importing
that package takes most of a second. Its list of signs is in the model's own metadata: one sign a line,
'none' before them and the space behind them.
"""

from __future__ import annotations

import importlib.util
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

import cv2
import numpy as np
import numpy.typing as npt

from numbertaker.evidence.errors import ToolMissing
from numbertaker.reading.recognisers import NOTHING, Crop, Reading
from numbertaker.reading.recognisers.ctc import best_texts, likeliest_path

MODEL: Final = Path("models") / "PP-OCRv6_rec_small.onnx"
HEIGHT: Final = 48
NARROWEST: Final = 160
WIDEST: Final = 2400
BATCH: Final = 6
SIGNS: Final = (
    "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz .,-/'\"&()[]:;+*?!%=£½¼¾—–“”‘’″′〃"
)
ALIKE: Final = str.maketrans(
    {"“": '"', "”": '"', "″": '"', "〃": '"', "‘": "'", "’": "'", "′": "'", "–": "-"}
)


def model_path() -> Path | None:
    """Where the model lies in the installed wheel; None where it isn't installed."""
    spec = importlib.util.find_spec("rapidocr")
    if spec is None or not spec.submodule_search_locations:
        return None
    path = Path(next(iter(spec.submodule_search_locations))) / MODEL
    return path if path.is_file() else None


class OnnxRecogniser:
    """Reads crops with one session and one thread; a session is kept by whoever made it."""

    name = "pp-ocrv6-small"

    def __init__(self, path: Path) -> None:
        import onnxruntime

        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = options.inter_op_num_threads = 1
        options.enable_cpu_mem_arena = False
        options.log_severity_level = 3
        self._session: Any = onnxruntime.InferenceSession(
            str(path), options, providers=["CPUExecutionProvider"]
        )
        self._input: str = self._session.get_inputs()[0].name
        listed = self._session.get_modelmeta().custom_metadata_map["character"].split("\n")
        place = {sign: i + 1 for i, sign in enumerate(listed) if sign}
        place[" "] = int(self._session.get_outputs()[0].shape[2]) - 1
        self._signs = "".join(sign for sign in SIGNS if sign in place)
        self._columns = [0, *(place[sign] for sign in self._signs)]

    def read(self, crops: Sequence[Crop]) -> list[Reading]:
        """Read crops in small batches of like width (small ones are the fastest on a processor)."""
        out: list[Reading] = [NOTHING] * len(crops)
        lines = [_to_line(crop.picture) for crop in crops]
        order = sorted((i for i in range(len(crops)) if lines[i].shape[1]), key=lambda i: lines[i].shape[1])
        for start in range(0, len(order), BATCH):
            batch = order[start : start + BATCH]
            for i, steps in zip(batch, self._run([lines[i] for i in batch]), strict=True):
                share = lines[i].shape[1] / max(NARROWEST, lines[batch[-1]].shape[1])
                out[i] = self._reading(steps, share)
        return out

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
        return Reading(texts[0][0], min(1.0, texts[0][1]), tuple(texts[1:]), places)

    def _run(self, lines: list[npt.NDArray[np.float32]]) -> npt.NDArray[Any]:
        width = max(NARROWEST, *(line.shape[1] for line in lines))
        block = np.zeros((len(lines), 3, HEIGHT, width), np.float32)
        for place, line in zip(block, lines, strict=True):
            place[:, :, : line.shape[1]] = line.transpose(2, 0, 1)
        answer = self._session.run(None, {self._input: block})[0]
        return np.asarray(answer)[:, :, self._columns]


def _to_line(picture: npt.NDArray[np.uint8]) -> npt.NDArray[np.float32]:
    """Bring a crop to the model's height, values -1 to 1."""
    height, width = picture.shape[:2]
    if height < 2 or width < 2:
        return np.zeros((HEIGHT, 0, 3), np.float32)
    wide = min(WIDEST, max(8, math.ceil(width * HEIGHT / height)))
    how = cv2.INTER_AREA if height > HEIGHT else cv2.INTER_CUBIC
    line = cv2.resize(picture, (wide, HEIGHT), interpolation=how).astype(np.float32)
    return np.asarray(line / 127.5 - 1.0, np.float32)


def make() -> OnnxRecogniser:
    """A recogniser, or `ToolMissing` that says what to install."""
    path = model_path()
    if path is None or importlib.util.find_spec("onnxruntime") is None:
        raise ToolMissing("The ONNX reader", "pip install onnxruntime rapidocr", purpose="read cards")
    return OnnxRecogniser(path)
