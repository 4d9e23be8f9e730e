"""The body networks behind one small adapter: pictures in, plain arrays out.

Only this file knows the inference library. BlazePose (person detector and landmark networks)
runs on ``ai-edge-litert``; the crop, the decoding and the heatmap refinement are ours.
"""

from dataclasses import dataclass

import numpy as np
from ai_edge_litert.interpreter import Interpreter
from numpy.typing import NDArray

from worker.body.weights import Network, weights_path

DETECTOR_SIDE = 224
LANDMARK_SIDE = 256
HEATMAP_SIDE = 64
LANDMARKS = 39
"""33 body points, then the two points that place the next crop, then four unused."""


@dataclass(frozen=True, slots=True)
class RawLandmarks:
    """Landmark network output in crop pixels (0 to 256).

    ``xyz`` (39, 3): x right, y down, z towards the camera negative, same scale as x.
    ``seen`` (39,): probability in [0, 1] that the point is in view and not hidden.
    ``heatmaps`` (64, 64, 39): logits. ``person``: probability that the crop holds a person.
    """

    xyz: NDArray[np.float64]
    seen: NDArray[np.float64]
    heatmaps: NDArray[np.float32]
    person: float


def sigmoid(logits: NDArray[np.floating]) -> NDArray[np.float64]:
    """Logistic function, clipped at +-80 so that it cannot overflow."""
    clipped = np.clip(np.asarray(logits, dtype=np.float64), -80.0, 80.0)
    return np.asarray(1.0 / (1.0 + np.exp(-clipped)))


class _Runner:
    """One interpreter with one image input; not to be shared between threads."""

    def __init__(self, network: Network, threads: int) -> None:
        self._interpreter = Interpreter(model_path=str(weights_path(network)), num_threads=threads)
        self._interpreter.allocate_tensors()
        self._input = int(self._interpreter.get_input_details()[0]["index"])
        self._outputs = {
            str(detail["name"]): int(detail["index"])
            for detail in self._interpreter.get_output_details()
        }

    def run(self, picture: NDArray[np.float32], *names: str) -> list[NDArray[np.float32]]:
        self._interpreter.set_tensor(self._input, picture[np.newaxis])
        self._interpreter.invoke()
        return [self._interpreter.get_tensor(self._outputs[name])[0] for name in names]


class DetectorNetwork:
    """Person detector: 224 x 224 RGB in, raw boxes (2254, 12) and scores (2254,) out."""

    def __init__(self, threads: int = 1) -> None:
        self._runner = _Runner(Network.DETECTOR, threads)

    def run(self, rgb: NDArray[np.uint8]) -> tuple[NDArray[np.float32], NDArray[np.float64]]:
        """Return raw boxes in detector pixels relative to their anchors, and probabilities."""
        scaled = rgb.astype(np.float32) / np.float32(127.5) - np.float32(1.0)
        boxes, logits = self._runner.run(scaled, "Identity", "Identity_1")
        return boxes, sigmoid(logits[:, 0])


class LandmarkNetwork:
    """Landmark network: 256 x 256 RGB crop in, ``RawLandmarks`` out."""

    def __init__(self, network: Network, threads: int = 1) -> None:
        self._runner = _Runner(network, threads)

    def run(self, rgb: NDArray[np.uint8]) -> RawLandmarks:
        """Run the network on one crop (256, 256, 3)."""
        scaled = rgb.astype(np.float32) / np.float32(255.0)
        flat, flag, heatmaps = self._runner.run(scaled, "Identity", "Identity_1", "Identity_3")
        table = flat.reshape(LANDMARKS, 5).astype(np.float64)
        return RawLandmarks(
            xyz=table[:, :3],
            seen=sigmoid(table[:, 3]),
            heatmaps=heatmaps,
            person=float(flag[0]),
        )
