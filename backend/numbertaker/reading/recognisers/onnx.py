"""The PP-OCRv6 small text-line recogniser, run under ONNX Runtime on one thread: the general reader.

The model travels inside the PyPI wheel `rapidocr` (Apache-2.0); only the file is used, since importing
that package takes most of a second. Its list of signs is in the model's own metadata: one sign a line,
'none' before them and the space behind them.
"""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Final

from numbertaker.evidence.errors import ToolMissing
from numbertaker.reading.recognisers.lines import Layout, LineRecogniser, one_thread

MODEL: Final = Path("models") / "PP-OCRv6_rec_small.onnx"
LAYOUT: Final = Layout(height=48, narrowest=160, widest=2400, step=16)
SIGNS: Final = (
    "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz .,-/'\"&()[]:;+*?!%=£½¼¾—–“”‘’″′〃"
)


def model_path() -> Path | None:
    """Where the model lies in the installed wheel; None where it isn't installed."""
    spec = importlib.util.find_spec("rapidocr")
    if spec is None or not spec.submodule_search_locations:
        return None
    path = Path(next(iter(spec.submodule_search_locations))) / MODEL
    return path if path.is_file() else None


def make() -> LineRecogniser:
    """The general reader, or `ToolMissing` that says what to install."""
    path = model_path()
    if path is None or importlib.util.find_spec("onnxruntime") is None:
        raise ToolMissing("The general ONNX reader", "pip install onnxruntime rapidocr", purpose="read cards")
    session = one_thread(path)
    listed = session.get_modelmeta().custom_metadata_map["character"].split("\n")
    place = {sign: i + 1 for i, sign in enumerate(listed) if sign}
    place[" "] = int(session.get_outputs()[0].shape[2]) - 1
    signs = "".join(sign for sign in SIGNS if sign in place)
    return LineRecogniser("pp-ocrv6-small", session, LAYOUT, signs, [0, *(place[sign] for sign in signs)])
