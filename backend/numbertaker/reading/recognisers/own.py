"""Our own recogniser of register cells, run under ONNX Runtime on one thread: the main reader.

Its file is part of the program (`models/`, with a card that says what it was trained on). Beside letters and
figures it says when a cell is struck out (a mark before each such word), when it repeats what is above it,
and when there is nothing in it.
"""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Final

from numbertaker.evidence.errors import ToolMissing
from numbertaker.reading.recognisers.lines import Layout, LineRecogniser, one_thread

MODEL: Final = Path(__file__).parent / "models" / "register-cells-2.onnx"
LAYOUT: Final = Layout(height=40, narrowest=48, widest=960, step=16)


def make() -> LineRecogniser:
    """The main reader, or `ToolMissing` that says what to install."""
    if importlib.util.find_spec("onnxruntime") is None:
        raise ToolMissing("The reader of register cells", "pip install onnxruntime", purpose="read cards")
    session = one_thread(MODEL)
    signs = session.get_modelmeta().custom_metadata_map["signs"]
    return LineRecogniser(MODEL.stem, session, LAYOUT, signs, range(len(signs) + 1))
