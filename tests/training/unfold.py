"""Weights to go on from, out of a shipped file: ``python -m tests.training.unfold swing_points.onnx start.pt``.

ONNX has each batch norm folded into its convolution. Here the norm is given back as one that changes nothing
but adds the bias, so ``train --go-on start.pt`` must leave the norms' statistics alone (it does). Parts of the
network that the file does not have yet begin at random.
"""

import argparse
from collections.abc import Iterator
from pathlib import Path

import onnx
import torch
from onnx import numpy_helper
from torch import Tensor, nn

from tests.training.network import SwingNetwork


def unfold(file: Path) -> dict[str, Tensor]:
    """State of a ``SwingNetwork`` that answers as the file does.

    Raises ``ValueError`` when the file's convolutions are not this network's.
    """
    network = SwingNetwork()
    graph = onnx.load(file).graph
    held = {
        each.name: torch.from_numpy(numpy_helper.to_array(each).copy())
        for each in graph.initializer
    }
    state = network.state_dict()
    for name, value in held.items():
        own = name.removeprefix("network.")
        if own in state and own not in CHANGED:
            state[own] = value
    _camera(state, held)
    network.load_state_dict(state)
    folded = [
        (held[node.input[1]], held[node.input[2]])
        for node in graph.node
        if node.op_type == "Conv" and not node.input[1].startswith("network.")
    ]
    pairs = list(_in_order(network))
    if len(pairs) != len(folded):
        message = f"{file} has {len(folded)} convolutions with a norm, the network {len(pairs)}"
        raise ValueError(message)
    with torch.no_grad():
        for (conv, norm), (weight, bias) in zip(pairs, folded, strict=True):
            if conv.weight.shape != weight.shape:
                message = f"a convolution of {file} is {tuple(weight.shape)}, not {tuple(conv.weight.shape)}"
                raise ValueError(message)
            conv.weight.copy_(weight)
            norm.bias.copy_(bias)
            norm.weight.fill_(1.0)
            norm.running_mean.zero_()
            norm.running_var.fill_(1.0 - norm.eps)
    return {name: value.clone() for name, value in network.state_dict().items()}


CHANGED = ("camera.weight", "camera.bias")
"""A file of before had three numbers here and their spreads; the third has a head of its own now."""


def _camera(state: dict[str, Tensor], held: dict[str, Tensor]) -> None:
    for name in CHANGED:
        value = held["network." + name]
        state[name] = value if len(value) == 4 else value[[0, 1, 3, 4]]


def _in_order(network: SwingNetwork) -> Iterator[tuple[nn.Conv2d, nn.BatchNorm2d]]:
    """Convolutions and the norms behind them, in the order in which ``forward`` runs them."""
    mixes = [network.mixes[k] for k in (2, 1, 0)]
    for part in (network.stem, *network.levels, *mixes, network.last):
        kept: nn.Conv2d | None = None
        for module in part.modules():
            if isinstance(module, nn.Conv2d):
                kept = module
            elif isinstance(module, nn.BatchNorm2d) and kept is not None:
                yield kept, module


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("shipped", type=Path)
    parser.add_argument("target", type=Path)
    chosen = parser.parse_args()
    torch.save({"weights": unfold(chosen.shipped)}, chosen.target)
