"""Writes the learnt network as ONNX: ``python -m tests.training.export swing.pt swing_points.onnx``."""

import argparse
from pathlib import Path

import torch
from torch import Tensor, nn

from tests.training.network import SIDE, SwingNetwork


class _Told(nn.Module):  # type: ignore[misc]  # torch is not installed where types are checked
    """The network without its heat maps; takes (n, 320, 320, 3) uint8."""

    def __init__(self, network: SwingNetwork) -> None:
        super().__init__()
        self.network = network

    def forward(self, picture: Tensor) -> tuple[Tensor, ...]:
        return tuple(self.network(picture.permute(0, 3, 1, 2).float() / 255.0)[:6])


NAMES = ("places", "log_spread", "depth", "depth_log_spread", "camera", "camera_log_spread")


def export(weights: Path, target: Path) -> None:
    """Write ``target``."""
    network = SwingNetwork()
    network.load_state_dict(torch.load(weights, map_location="cpu", weights_only=False)["weights"])
    network.eval()
    torch.onnx.export(
        _Told(network),
        (torch.zeros(1, SIDE, SIDE, 3, dtype=torch.uint8),),
        str(target),
        input_names=["picture"],
        output_names=list(NAMES),
        dynamic_axes={name: {0: "pictures"} for name in ("picture", *NAMES)},
        opset_version=17,
        dynamo=False,
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("weights", type=Path)
    parser.add_argument("target", type=Path)
    chosen = parser.parse_args()
    export(chosen.weights, chosen.target)
