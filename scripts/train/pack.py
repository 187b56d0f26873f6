"""Make a trained network's file small: each weight in eight bits, one scale for each output channel.

What flows between the layers stays in floating point: the reader is as right as before, the same on every
processor, and the file a quarter as large. (Eight bits for what flows as well would halve the time, and lose
one cell in a hundred of poor handwriting.)
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Final

sys.path.insert(0, str(Path(__file__).parent))

import numpy as np
import numpy.typing as npt
import onnx
import samples
from onnx import helper, numpy_helper, version_converter

OPSET: Final = 17
LEAST: Final = 2000
"""Tensors of fewer weights stay as they are."""


def packed(model: onnx.ModelProto) -> onnx.ModelProto:
    """The model with its large weights in eight bits; a node before each layer turns them back."""
    told = {p.key: p.value for p in model.metadata_props}
    model.graph.input[0].type.tensor_type.shape.dim[2].dim_param = "height"
    made = version_converter.convert_version(model, OPSET)
    before, kept = list[onnx.NodeProto](), list[onnx.TensorProto]()
    for tensor in made.graph.initializer:
        weights = numpy_helper.to_array(tensor)
        if weights.dtype != np.float32 or weights.size < LEAST or weights.ndim not in (2, 4):
            kept.append(tensor)
            continue
        axis = 0 if weights.ndim == 4 else 1  # convolutions have their output channels first, products last
        names = [f"{tensor.name}_{part}" for part in ("eight", "scale", "zero")]
        parts = _eight(weights, axis)
        kept += [numpy_helper.from_array(part, name) for part, name in zip(parts, names, strict=True)]
        before.append(helper.make_node("DequantizeLinear", names, [tensor.name], axis=axis))
    nodes = [*before, *made.graph.node]
    for field, values in ((made.graph.node, nodes), (made.graph.initializer, kept)):
        del field[:]
        field.extend(values)
    del made.graph.value_info[:], made.metadata_props[:]
    for key, value in (("signs", told["signs"]), ("height", str(samples.HEIGHT))):
        made.metadata_props.append(onnx.StringStringEntryProto(key=key, value=value))
    return made


def _eight(
    weights: npt.NDArray[np.float32], axis: int
) -> tuple[npt.NDArray[np.int8], npt.NDArray[np.float32], npt.NDArray[np.int8]]:
    """Weights as whole numbers, their scales along an axis, and zeros."""
    others = tuple(k for k in range(weights.ndim) if k != axis)
    scale = np.maximum(np.abs(weights).max(axis=others, keepdims=True) / 127, 1e-12)
    whole = np.clip(np.round(weights / scale), -127, 127).astype(np.int8)
    flat = scale.reshape(-1).astype(np.float32)
    return whole, flat, np.zeros(len(flat), np.int8)


def main(argv: Sequence[str] | None = None) -> int:
    """Read the arguments and pack."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("source", type=Path)
    parser.add_argument("out", type=Path)
    asked = parser.parse_args(argv)
    onnx.save(packed(onnx.load(str(asked.source))), str(asked.out))
    print(f"{asked.out}: {asked.out.stat().st_size / 1e6:.2f} MB")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
