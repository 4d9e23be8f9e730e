"""Draws the pictures to learn from: ``python -m tests.training.shards FOLDER --clips 2400 --each 24``.

Each worker writes ``labels_K.npz`` and then ``pictures_K.npy`` (n, 384, 384, 4) uint8: who sees the pictures may
read both. What a seed gives does not depend on how many workers there are.
"""

import argparse
import os
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import cv2
import numpy as np

from tests.training.recipe import Sample, learning_dials, samples_of


def _one_thread() -> None:
    cv2.setNumThreads(1)


def write_shard(folder: Path, number: int, clips: Sequence[int], each: int, until: float) -> int:
    """Draw the clips of one shard; those that no body can follow are left out, and so is what is
    not begun by ``until`` (seconds of the clock)."""
    samples: list[Sample] = []
    for index in clips:
        if time.time() > until:
            break
        try:
            samples.extend(samples_of(learning_dials(index), each))
        except ValueError as problem:
            print(f"clip {index}: {problem}", flush=True)
    if not samples:
        return 0
    np.savez(
        folder / f"labels_{number:04d}.npz",
        pixels=np.stack([s.pixels for s in samples]),
        depth_m=np.stack([s.depth_m for s in samples]),
        world_m=np.stack([s.world_m for s in samples]),
        camera=np.stack([s.camera for s in samples]),
    )
    unfinished = folder / f"unfinished_{number:04d}.npy"
    np.save(unfinished, np.stack([s.picture for s in samples]))
    unfinished.rename(folder / f"pictures_{number:04d}.npy")
    return len(samples)


def main() -> None:
    """Run the command."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--clips", type=int, default=2400)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--each", type=int, default=24, help="frames of a clip")
    parser.add_argument("--shard", type=int, default=20, help="clips of a shard")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--seconds", type=float, default=1e9, help="begin no clip after this long")
    chosen = parser.parse_args()
    chosen.folder.mkdir(parents=True, exist_ok=True)
    until = time.time() + chosen.seconds
    indices = range(chosen.first, chosen.first + chosen.clips)
    with ProcessPoolExecutor(chosen.workers, initializer=_one_thread) as pool:
        jobs = [
            pool.submit(
                write_shard,
                chosen.folder,
                at // chosen.shard,
                indices[at : at + chosen.shard],
                chosen.each,
                until,
            )
            for at in range(0, chosen.clips, chosen.shard)
        ]
        total = sum(job.result() for job in jobs)
    print(f"{total} pictures in {time.time() - until + chosen.seconds:.0f} s", flush=True)


if __name__ == "__main__":
    main()
