"""A network out of an ONNX file that learns in PyTorch and goes back into the same file.

Only what the line recognisers of the PP-OCR family use is understood. The network's shape stays the file's
own, so what is written back differs from what was read in its weights alone, and runs wherever that did.
"""

# ruff: noqa: E501, PLR0917 (a table of operations, each with the inputs that ONNX gives it)
from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import numpy as np
import onnx
import torch
from onnx import helper, numpy_helper
from torch import Tensor, nn
from torch.nn import functional as fn

HEAD: Final = ("linear_8.w_0", "linear_8.b_0")
"""The last layer's weights in the file; one column a sign."""


def with_signs(path: Path, signs: str) -> onnx.ModelProto:
    """The model of a file with its last layer cut down to 'none' and our signs, in our order."""
    model = onnx.load(str(path))
    told = {p.key: p.value for p in model.metadata_props}["character"].split("\n")
    place = {sign: i + 1 for i, sign in enumerate(told) if sign}
    initial = {i.name: i for i in model.graph.initializer}
    place[" "] = int(initial[HEAD[1]].dims[-1]) - 1
    columns = [0, *(place[sign] for sign in signs)]
    for name in HEAD:
        whole = numpy_helper.to_array(initial[name])
        initial[name].CopyFrom(numpy_helper.from_array(np.ascontiguousarray(whole[..., columns]), name))
    model.graph.output[0].type.tensor_type.shape.dim[2].dim_value = len(columns)
    del model.metadata_props[:]
    model.metadata_props.append(onnx.StringStringEntryProto(key="signs", value=signs))
    _plain(model.graph)
    del model.graph.value_info[:]
    return model


def _plain(graph: onnx.GraphProto) -> None:
    """Leave out nodes that do nothing, and the softmax at the end (the loss wants logits)."""
    same = {n.output[0]: n.input[0] for n in graph.node if n.op_type == "Identity"}

    def source(name: str) -> str:
        while name in same:
            name = same[name]
        return name

    kept = [n for n in graph.node if n.op_type != "Identity"]
    for node in kept:
        for k, name in enumerate(node.input):
            node.input[k] = source(name)
    last = kept[-1]
    if last.op_type == "Softmax":
        last.CopyFrom(helper.make_node("Softmax", [last.input[0]], [graph.output[0].name], axis=2))
    del graph.node[:]
    graph.node.extend(kept)


class Network(nn.Module):
    """Runs a model's nodes one after another; its weights are parameters. Gives logits: rows × steps × (1 +
    signs)."""

    def __init__(self, model: onnx.ModelProto) -> None:
        super().__init__()
        self.model, self.fixed = model, dict[str, Any]()
        self.names: dict[str, str] = {}
        for tensor in model.graph.initializer:
            value = numpy_helper.to_array(tensor)
            if value.dtype == np.float32 and value.size > 1 and "batch_norm" not in tensor.name:
                key = tensor.name.replace(".", "_")
                self.names[tensor.name] = key
                self.register_parameter(key, nn.Parameter(torch.from_numpy(value.copy())))
            elif value.dtype == np.float32:
                key = "fixed_" + tensor.name.replace(".", "_")
                self.names[tensor.name] = key
                self.register_buffer(key, torch.from_numpy(value.copy()))
            else:
                self.fixed[tensor.name] = value
        self.steps = _fused(
            [n for n in model.graph.node if n.op_type != "Softmax" or n.output[0] != self.out]
        )
        self.last = next(n.input[0] for n in model.graph.node if n.output and n.output[0] == self.out)

    @property
    def out(self) -> str:
        return str(self.model.graph.output[0].name)

    def forward(self, x: Tensor) -> Tensor:
        """`x` is rows × 3 × height × width, -1 to 1."""
        known: dict[str, Any] = {self.model.graph.input[0].name: x, **self.fixed}
        known.update({name: getattr(self, key) for name, key in self.names.items()})
        half = torch.is_autocast_enabled(x.device.type)
        for op, inputs, outputs, attributes in self.steps:
            if op == "AveragePool":  # from here on values are few, and their means want all their digits
                known = {
                    k: v.float() if isinstance(v, Tensor) else v
                    for k, v in known.items()
                    if k in inputs or k in self.names or k in self.fixed
                }
                half = False
            with torch.autocast(x.device.type, dtype=torch.bfloat16, enabled=half):
                known[outputs[0]] = OPS[op](attributes, *(known[name] for name in inputs if name))
        return known[self.last]  # type: ignore[no-any-return]

    def write(self, path: Path) -> None:
        """Write the model with the weights as they are now."""
        made = onnx.ModelProto()
        made.CopyFrom(self.model)
        for tensor in made.graph.initializer:
            if tensor.name in self.names:
                value = getattr(self, self.names[tensor.name]).detach().float().cpu().numpy()
                tensor.CopyFrom(numpy_helper.from_array(np.ascontiguousarray(value), tensor.name))
        onnx.save(made, str(path))


Step = tuple[str, list[str], list[str], dict[str, Any]]


def _fused(nodes: list[onnx.NodeProto]) -> list[Step]:
    """The nodes as steps; the five of a GELU become one."""
    steps = list[Step]()
    k = 0
    while k < len(nodes):
        node = nodes[k]
        if [n.op_type for n in nodes[k : k + 5]] == ["Div", "Erf", "Add", "Mul", "Mul"]:
            steps.append(("Gelu", [node.input[0]], [nodes[k + 4].output[0]], {}))
            k += 5
            continue
        attributes = {a.name: helper.get_attribute_value(a) for a in node.attribute}
        steps.append((node.op_type, list(node.input), list(node.output), attributes))
        k += 1
    return steps


def _padded(x: Tensor, a: dict[str, Any], kernel: list[int], value: float) -> Tensor:
    """Pads as ONNX says them: top, left, bottom, right; or as much as keeps the size, more of it at the
    end."""
    if a.get("auto_pad", b"NOTSET") == b"SAME_UPPER":
        total = [k - 1 for k in kernel]
        pads = [total[0] // 2, total[1] // 2, total[0] - total[0] // 2, total[1] - total[1] // 2]
    else:
        pads = list(a.get("pads", [0, 0, 0, 0]))
    return fn.pad(x, (pads[1], pads[3], pads[0], pads[2]), value=value) if any(pads) else x


def _conv(a: dict[str, Any], x: Tensor, weight: Tensor) -> Tensor:
    pads, same = list(a.get("pads", [0, 0, 0, 0])), a.get("auto_pad", b"NOTSET") == b"SAME_UPPER"
    if not same and pads[:2] == pads[2:]:
        return fn.conv2d(x, weight, stride=a["strides"], padding=pads[:2], groups=a["group"])
    return fn.conv2d(_padded(x, a, a["kernel_shape"], 0.0), weight, stride=a["strides"], groups=a["group"])


def _max_pool(a: dict[str, Any], x: Tensor) -> Tensor:
    return fn.max_pool2d(_padded(x, a, a["kernel_shape"], -1e4), a["kernel_shape"], a["strides"])


def _reshape(a: dict[str, Any], x: Any, shape: Any) -> Any:
    if isinstance(x, Tensor):
        return x.reshape([x.shape[i] if int(s) == 0 else int(s) for i, s in enumerate(shape)])
    return np.asarray(x).reshape([int(s) for s in np.asarray(shape)])


def _slice(a: dict[str, Any], x: Any, starts: Any, ends: Any, axes: Any, steps: Any = (1,)) -> Any:
    place = [slice(None)] * x.ndim
    for start, end, axis in zip(starts, ends, axes, strict=True):
        place[int(axis)] = slice(int(start), min(int(end), 2**31))
    return x[tuple(place)]


def _squeeze(a: dict[str, Any], x: Any) -> Any:
    return x.squeeze(a["axes"][0])


def _batch_norm(a: dict[str, Any], x: Tensor, w: Tensor, b: Tensor, mean: Tensor, var: Tensor) -> Tensor:
    return fn.batch_norm(x, mean, var, w, b, training=False, eps=a["epsilon"])


def _concat(a: dict[str, Any], *parts: Any) -> Any:
    if isinstance(parts[0], Tensor):
        return torch.cat(parts, dim=a["axis"])
    return np.concatenate([np.atleast_1d(p) for p in parts], axis=a["axis"])


OPS: Final[dict[str, Callable[..., Any]]] = {
    "Conv": _conv, "MaxPool": _max_pool, "Reshape": _reshape, "Slice": _slice, "Squeeze": _squeeze, "Concat": _concat,
    "BatchNormalization": _batch_norm, "Gelu": lambda a, x: fn.gelu(x), "Relu": lambda a, x: fn.relu(x),
    "Add": lambda a, x, y: x + y, "Sub": lambda a, x, y: x - y, "Mul": lambda a, x, y: x * y, "Div": lambda a, x, y: x / y,
    "Pow": lambda a, x, y: x**y, "Sqrt": lambda a, x: x.sqrt(), "Sigmoid": lambda a, x: torch.sigmoid(x),
    "HardSigmoid": lambda a, x: torch.clamp(a["alpha"] * x + a["beta"], 0, 1), "MatMul": lambda a, x, y: x @ y,
    "ReduceMean": lambda a, x: x.mean(dim=a["axes"], keepdim=bool(a.get("keepdims", 1))),
    "Transpose": lambda a, x: x.permute(a["perm"]), "Softmax": lambda a, x: x.softmax(a["axis"]),
    "AveragePool": lambda a, x: fn.avg_pool2d(x, a["kernel_shape"], a["strides"]),
    "Shape": lambda a, x: np.array(x.shape, np.int64), "Unsqueeze": lambda a, x: np.expand_dims(np.asarray(x), a["axes"][0]),
}  # fmt: skip
