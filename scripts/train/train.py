"""Train the cell recogniser for so many seconds, on a GPU where there is one, and write it as ONNX.

It starts from the PP-OCRv6 small line recogniser (Apache-2.0) that the wheel `rapidocr` carries, its last
layer cut down to our signs, or from a file that this program wrote. Workers render without end; no picture
is kept.
"""

# ruff: noqa: E402 (the threads of numpy are counted when it is imported)
from __future__ import annotations

import argparse
import math
import multiprocessing
import os
import queue
import sys
import time
from collections import deque
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
sys.path.insert(0, str(Path(__file__).parent))

import content
import graph
import numpy as np
import numpy.typing as npt
import onnx
import samples
import torch
from torch import Tensor
from torch.nn import functional as fn

Batch = tuple[npt.NDArray[np.uint8], list[str]]
KEPT: Final = 400
"""Batches kept to be shown again, changed a little, whenever the workers are behind."""
CHECKED: Final = 150
"""Samples of each sort of face and level in a check."""


def rendering(seed: int, pixels: int, out: Any) -> None:
    """A worker: render batches for ever."""
    import cv2

    cv2.setNumThreads(1)
    for batch in samples.batches(samples.Source(seed, held_out=False), pixels):
        out.put(batch)


def encoded(says: Sequence[str]) -> tuple[Tensor, Tensor]:
    """Texts as one row of columns (1 for the first sign), and the length of each."""
    place = {sign: i + 1 for i, sign in enumerate(content.SIGNS)}
    return torch.tensor([place[s] for text in says for s in text]), torch.tensor([len(text) for text in says])


def loss_of(network: graph.Network, block: Tensor, says: Sequence[str], device: str) -> Tensor:
    """The CTC loss (Graves et al., 2006), a mean over the lines."""
    with torch.autocast(device, dtype=torch.bfloat16, enabled=device == "cuda"):
        logits = network(block)
    columns, lengths = encoded(says)
    likely = logits.float().log_softmax(-1).transpose(0, 1)
    steps = torch.full((len(says),), likely.shape[0])
    losses = fn.ctc_loss(likely, columns.to(device), steps, lengths, reduction="none", zero_infinity=True)
    return losses.mean() / 8


def as_input(block: npt.NDArray[np.uint8], device: str, *, jitter: bool) -> Tensor:
    """A block as the network takes it; with jitter, its light and grain are changed a little."""
    x = torch.from_numpy(block).to(device, non_blocking=True).float() / 127.5 - 1
    if jitter:
        rows = (x.shape[0], 1, 1, 1)
        gain = 1 + 0.12 * torch.randn(rows, device=device)
        x = x * gain + 0.08 * torch.randn(rows, device=device)
        x = (x + 0.04 * torch.rand(rows, device=device) * torch.randn_like(x)).clamp(-1, 1)
    return x.contiguous(memory_format=torch.channels_last)


def greedy(logits: Tensor) -> list[str]:
    """The text of the likeliest path of each row."""
    texts = []
    for row in logits.argmax(-1).cpu().numpy():
        kept = [c for i, c in enumerate(row) if c and (i == 0 or row[i - 1] != c)]
        texts.append("".join(content.SIGNS[c - 1] for c in kept))
    return texts


def drawn_for_check(seed: int, count: int) -> list[samples.Sample]:
    """Samples of the held-out faces, as many of each sort and level."""
    source = samples.Source(seed, held_out=True)
    return [source.draw(sort, level) for sort, _ in samples.SORTS for level in range(3) for _ in range(count)]


def check(network: graph.Network, drawn: Sequence[samples.Sample], device: str) -> str:
    """The share read exactly right, by sort of face and level, on faces held out."""
    network.eval()
    right: dict[tuple[str, int], list[bool]] = {}
    order = sorted(range(len(drawn)), key=lambda i: samples.to_line(drawn[i].picture).shape[1])
    with torch.no_grad():
        for start in range(0, len(order), 32):
            chosen = [drawn[i] for i in order[start : start + 32]]
            lines = [samples.to_line(s.picture) for s in chosen]
            block = np.full(
                (len(lines), samples.HEIGHT, samples.padded(max(x.shape[1] for x in lines)), 3), 127, np.uint8
            )
            for row, line in zip(block, lines, strict=True):
                row[:, : line.shape[1]] = line
            read = greedy(
                network(as_input(np.ascontiguousarray(block.transpose(0, 3, 1, 2)), device, jitter=False))
            )
            for sample, text in zip(chosen, read, strict=True):
                right.setdefault((sample.sort, sample.level), []).append(text.strip() == sample.says)
    network.train()
    return "  ".join(
        f"{s} {['clean', 'worn', 'poor'][v]} {100 * np.mean(r):.1f}" for (s, v), r in sorted(right.items())
    )


def train(args: argparse.Namespace) -> None:
    """Train, check now and then, and write the running mean of the weights."""
    device = "cuda" if torch.cuda.is_available() else "cpu"
    start = onnx.load(str(args.start))
    ours = any(p.key == "signs" for p in start.metadata_props)
    network = graph.Network(start if ours else graph.with_signs(args.start, content.SIGNS)).to(device)
    mean = graph.Network(network.model).to(device)
    mean.load_state_dict(network.state_dict())
    adam = torch.optim.AdamW(network.parameters(), lr=args.rate, weight_decay=0.01, betas=(0.9, 0.98))
    away = multiprocessing.get_context("spawn")
    out = away.Queue(maxsize=48)
    workers = [
        away.Process(target=rendering, args=(args.seed + k, args.pixels, out), daemon=True)
        for k in range(args.workers)
    ]
    for worker in workers:
        worker.start()
    with away.Pool(1) as one:
        drawn = one.apply(drawn_for_check, (args.seed + 9999, args.check))
    print("before:", check(network, drawn, device), flush=True)
    kept, began, told = deque[Batch](maxlen=KEPT), time.monotonic(), 0.0
    step = new = lines = 0
    running = 0.0
    while (spent := time.monotonic() - began) < args.seconds:
        try:
            batch = out.get(timeout=None if len(kept) < args.fewest else 0.002)
            kept.append(batch)
            new += 1
        except queue.Empty:
            batch = kept[int(torch.randint(len(kept), (1,)))]
        part = spent / args.seconds
        rate = args.rate * min(1.0, step / args.warm) * (0.02 + 0.98 * 0.5 * (1 + math.cos(math.pi * part)))
        for group in adam.param_groups:
            group["lr"] = rate
        loss = loss_of(network, as_input(batch[0], device, jitter=True), batch[1], device)
        adam.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(network.parameters(), 1.0)
        adam.step()
        keep = min(0.9985, (1 + step) / (10 + step))
        with torch.no_grad():
            torch._foreach_lerp_(list(mean.parameters()), list(network.parameters()), 1 - keep)
        step, lines = step + 1, lines + len(batch[1])
        running = running + 0.02 * (loss.detach() - running)
        if spent - told > args.every:
            told = spent
            print(
                f"{spent:5.0f} s, step {step}, batches {new}, lines {lines}, loss {float(running):.4f}",
                flush=True,
            )
            print("   ", check(mean, drawn, device), flush=True)
            mean.write(args.out)
    for worker in workers:
        worker.terminate()
    mean.write(args.out)
    print(f"{step} steps, {new} batches rendered, {lines} lines;", check(mean, drawn, device), flush=True)


def main(argv: Sequence[str] | None = None) -> int:
    """Read the arguments and train."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--start", type=Path, required=True, help="PP-OCRv6_rec_small.onnx, or a model of ours"
    )
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--seconds", type=float, default=480)
    parser.add_argument("--every", type=float, default=90, help="seconds between checks")
    parser.add_argument("--workers", type=int, default=15)
    parser.add_argument("--pixels", type=int, default=65_536, help="columns in a batch")
    parser.add_argument(
        "--fewest", type=int, default=40, help="batches to wait for before any is shown again"
    )
    parser.add_argument("--warm", type=int, default=200, help="steps until the rate is whole")
    parser.add_argument("--rate", type=float, default=7e-4)
    parser.add_argument("--check", type=int, default=CHECKED)
    parser.add_argument("--seed", type=int, default=1)
    train(parser.parse_args(argv))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
