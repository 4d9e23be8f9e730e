"""Teaches the swing network: ``python -m tests.training.train FOLDER --out swing.pt``.

FOLDER is where ``tests.training.shards`` writes, now or earlier: shards are learnt from as they come, and
deleted once they are on the card. Every thirtieth is only looked at. Needs torch and a card; the same seed
on the same card gives nearly the same weights. What is learnt is written every ``--every`` steps, so that a run that is
cut off leaves the last of them, and ``--go-on`` begins where an earlier run ended, or with a shipped file's weights
(``tests.training.unfold``): then ask for ``--keep-norms``, and the head that is new learns faster.
"""

import argparse
import json
import math
import time
from pathlib import Path

import numpy as np
import torch
from torch import Tensor

from tests.training.augment import CANVAS, augment, leaves, middle
from tests.training.network import POINTS, SwingNetwork

SEED = 20261129
GOAL_CELLS = 1.2
"""One sigma of the heat map that is asked for, cells."""
CAMERA_FACTS = 7
LOOKED_AT = 30
"""Every thirtieth shard is looked at, never learnt from."""
BEGIN_WITH = 1500
"""Pictures that must be there before the first step."""
BALL = 23
ABSENT_LOG_B = 3.5
"""What the ball's spread should say where there is none: lost, 33 pixels."""
LINES = ((3, 7), (3, 5), (5, 7), (19, 21))
"""Lead shoulder to wrist, the two bones between, and the shaft: directions that checkpoints read, so what two
points err across their line counts once more."""
CHIEF = (3, 5, 7, 19, 21)
"""The points of those lines count twice."""
NEAR_PX = 6.0
"""Only ends that are about found are asked for their line: else the line is learnt in the wrong place."""
CAMERA_WEIGHT = (0.07, 0.07, 0.3)
"""Azimuth, roll, and how far the hips lie below the lens: what is left of the horizon decides how early
a level arm is told."""
NEW_TIMES = 4.0
"""How much faster the head that a shipped file did not have learns."""
SHORT_PX = 15.0
"""A line shorter than this points at the lens and has no direction to learn."""


class Shards:
    """Pictures and labels on the card, which grow while more are drawn."""

    def __init__(self, room: int, device: torch.device) -> None:
        self._held = {
            "canvas": torch.empty(room, 4, CANVAS, CANVAS, dtype=torch.uint8, device=device),
            "pixels": torch.empty(room, POINTS, 2, device=device),
            "depth_m": torch.empty(room, POINTS, device=device),
            "camera": torch.empty(room, CAMERA_FACTS, device=device),
        }
        self._room = room
        self.count = 0

    def take(self, pictures: Path) -> None:
        """Move one shard to the card while there is room, and delete its files."""
        labels = pictures.with_name(pictures.name.replace("pictures_", "labels_")).with_suffix(
            ".npz"
        )
        canvas = torch.from_numpy(np.load(pictures)).permute(0, 3, 1, 2)
        told = np.load(labels)
        fits = min(len(canvas), self._room - self.count)
        rows = slice(self.count, self.count + fits)
        self._held["canvas"][rows] = canvas[:fits].to(self._held["canvas"].device)
        for name in ("pixels", "depth_m", "camera"):
            self._held[name][rows] = torch.from_numpy(told[name][:fits]).to(self._held[name].device)
        self.count += fits
        pictures.unlink()
        labels.unlink()

    def all(self) -> dict[str, Tensor]:
        """What is there so far, without copying."""
        return {name: value[: self.count] for name, value in self._held.items()}


def take_new(folder: Path, learnt: Shards, looked_at: Shards) -> None:
    """Move the shards that were finished since."""
    for pictures in sorted(folder.glob("pictures_*.npy")):
        number = int(pictures.stem.removeprefix("pictures_"))
        (learnt if number % LOOKED_AT else looked_at).take(pictures)


def likelihood(error: Tensor, log_spread: Tensor) -> Tensor:
    """Negative log of a density that falls as exp(-r / b) about the place, in two dimensions:
    robust, and a spread that is learnt with it. ``error`` (..., 2)."""
    r = torch.sqrt((error**2).sum(dim=-1) + 1e-4)
    b = log_spread.clamp(-2.5, 4.0)
    return 2.0 * b + r * torch.exp(-b)


def heat_goal(placed: Tensor, heat: Tensor) -> Tensor:
    """Cross entropy of heat maps against a bell about the true place."""
    cells = torch.arange(heat.shape[2], device=heat.device) * 4.0 + 1.5
    sigma = GOAL_CELLS * 4.0
    across = torch.exp(-((cells - placed[..., :1]) ** 2) / (2 * sigma**2))
    down = torch.exp(-((cells - placed[..., 1:]) ** 2) / (2 * sigma**2))
    goal = down[..., :, None] * across[..., None, :]
    goal = goal / goal.sum(dim=(2, 3), keepdim=True).clamp_min(1e-6)
    logs = torch.log_softmax(heat.flatten(2), dim=2).view(heat.shape)
    return -(goal * logs).sum(dim=(2, 3))


def loss_of(
    outputs: tuple[Tensor, ...],
    placed: Tensor,
    asked: Tensor,
    batch: dict[str, Tensor],
    turn: Tensor,
) -> Tensor:
    places, log_spread, depth, depth_spread, camera, camera_spread, heat = outputs
    absent = torch.isnan(placed[:, BALL]).any(dim=1)
    placed = torch.nan_to_num(placed)
    weight = asked.float()
    weight[:, CHIEF] *= 2.0
    total = weight.sum().clamp_min(1.0)
    by_place = (likelihood(places - placed, log_spread) * weight).sum() / total
    by_heat = (heat_goal(placed, heat) * weight).sum() / total
    true_depth = torch.nan_to_num(batch["depth_m"])
    deep = depth_spread.clamp(-5.0, 2.0)
    by_depth = ((deep + (depth - true_depth).abs() * torch.exp(-deep)) * weight).sum() / total
    facts = batch["camera"][:, :3].clone()
    facts[:, 1] += turn
    wide = camera_spread.clamp(-2.0, 4.0)
    by_camera = (wide + (camera - facts).abs() * torch.exp(-wide)).mean(dim=0)
    lost = (log_spread[:, BALL] - ABSENT_LOG_B).abs() * absent
    return (
        by_place
        + 0.3 * by_heat
        + 0.3 * by_depth
        + (by_camera * by_camera.new_tensor(CAMERA_WEIGHT)).sum()
        + 0.3 * by_lines(places, placed, asked)
        + 0.05 * lost.mean()
    )


def by_lines(places: Tensor, placed: Tensor, asked: Tensor) -> Tensor:
    """Mean pixels by which the ends of ``LINES`` differ across them."""
    total = places.new_zeros(())
    for a, b in LINES:
        true = placed[:, b] - placed[:, a]
        found = places[:, b] - places[:, a]
        long = torch.linalg.norm(true, dim=1)
        near = (torch.linalg.norm((places - placed)[:, (a, b)], dim=2) < NEAR_PX).all(dim=1)
        counts = (asked[:, a] & asked[:, b] & near & (long > SHORT_PX)).float()
        across = (true[:, 0] * found[:, 1] - true[:, 1] * found[:, 0]) / long.clamp_min(1.0)
        total = total + (torch.sqrt(across**2 + 1e-2) * counts).sum() / len(places)
    return total


@torch.no_grad()  # type: ignore[untyped-decorator]  # torch is not installed where types are checked
def look(network: SwingNetwork, data: dict[str, Tensor]) -> dict[str, object]:
    """Errors on pictures that are not learnt from: median and 90th percentile pixels by point, the
    share of truths within the spread's 95 % circle, and angles' errors."""
    network.eval()
    places, spreads, truths, masks, cameras = [], [], [], [], []
    for at in range(0, len(data["canvas"]), 256):
        picture, placed, asked = middle(
            data["canvas"][at : at + 256], data["pixels"][at : at + 256]
        )
        out = network(picture)
        places.append(out[0])
        spreads.append(out[1])
        cameras.append(out[4])
        truths.append(placed)
        masks.append(asked)
    place, spread, truth, mask = (torch.cat(x) for x in (places, spreads, truths, masks))
    r = torch.linalg.norm(place - torch.nan_to_num(truth), dim=2)
    medians, nineties, inside = [], [], []
    for p in range(POINTS):
        own = r[mask[:, p], p]
        medians.append(round(float(own.median()), 2))
        nineties.append(round(float(own.quantile(0.9)), 2))
        # 95 % of the mass of exp(-r / b) in two dimensions lies within 4.744 b.
        inside.append(
            round(float((own < 4.744 * torch.exp(spread[mask[:, p], p])).float().mean()), 3)
        )

    def angle(points: Tensor, a: int, b: int) -> Tensor:
        v = points[:, b] - points[:, a]
        return torch.atan2(-v[:, 1], v[:, 0])

    def apart(a: int, b: int, longer: float) -> list[float]:
        both = mask[:, a] & mask[:, b]
        v = truth[both]
        both_long = torch.linalg.norm(v[:, a] - v[:, b], dim=1) > longer
        d = angle(place[both], a, b) - angle(v, a, b)
        d = torch.atan2(torch.sin(d), torch.cos(d)).abs()[both_long] * 180 / math.pi
        return [round(float(d.median()), 2), round(float(d.quantile(0.9)), 2)]

    facts = torch.cat(cameras) - data["camera"][:, :3]
    return {
        "median_px": medians,
        "p90_px": nineties,
        "inside": inside,
        "arm_deg": apart(3, 7, 25.0),
        "shaft_deg": apart(19, 21, 25.0),
        "camera_deg": [round(float(v), 2) for v in facts.abs().median(dim=0).values],
        "no_ball_log_b": [
            round(float(spread[truth[:, BALL].isnan().any(dim=1), BALL].median()), 2),
            round(float(spread[mask[:, BALL], BALL].median()), 2),
        ],
    }


def teach(
    network: SwingNetwork,
    learnt: Shards,
    looked_at: Shards,
    chosen: argparse.Namespace,
    device: torch.device,
) -> tuple[SwingNetwork, int]:
    """The running average of the network over its last steps, and how many there were."""
    others = leaves(300 if device.type == "cuda" else 8, SEED, device)
    average = torch.optim.swa_utils.AveragedModel(
        network, multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(0.998), use_buffers=True
    )
    if chosen.keep_norms:
        for module in network.modules():
            if isinstance(module, torch.nn.BatchNorm2d):
                module.eval()
    new = list(network.below.parameters()) if chosen.keep_norms else []
    others_than_new = [p for p in network.parameters() if all(p is not each for each in new)]
    optimiser = torch.optim.AdamW(
        [{"params": others_than_new, "times": 1.0}, {"params": new, "times": NEW_TIMES}],
        lr=chosen.rate,
        weight_decay=0.02,
    )
    started = time.time()
    step, share = 0, 0.0
    data, behind = learnt.all(), others
    while share < 1.0:
        if step % 100 == 0:
            take_new(chosen.folder, learnt, looked_at)
            data = learnt.all()
        rows = torch.randint(learnt.count, (chosen.batch,), device=device)
        batch = {name: value[rows] for name, value in data.items()}
        if step % 3 == 0:
            scenes = torch.randint(learnt.count, (len(others),), device=device)
            behind = torch.cat([others, data["canvas"][scenes, :3]])
        picture, placed, asked, turn = augment(batch["canvas"], batch["pixels"], behind)
        share = min(1.0, max(step / chosen.steps, (time.time() - started) / chosen.seconds))
        rate = chosen.rate * min(1.0, (step + 1) / 200) * 0.5 * (1.0 + math.cos(math.pi * share))
        for group in optimiser.param_groups:
            group["lr"] = rate * group["times"]
        with torch.autocast(device.type, dtype=torch.bfloat16):
            outputs = network(picture.contiguous(memory_format=torch.channels_last))
        loss = loss_of(outputs, placed, asked, batch, turn)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(network.parameters(), 5.0)
        optimiser.step()
        average.update_parameters(network)
        if step % chosen.every == 0:
            told = json.dumps(look(average.module, looked_at.all()))
            passed = round(time.time() - started)
            print(step, passed, learnt.count, f"{loss.item():.3f}", told, flush=True)
            keep(average.module, chosen.out, step, learnt.count, told)
        step += 1
    return average.module, step


def keep(network: SwingNetwork, out: Path, steps: int, pictures: int, told: str) -> None:
    """Write the weights and what they were learnt from; a reader never finds half a file."""
    weights = {name: value.float().cpu() for name, value in network.state_dict().items()}
    part = out.with_suffix(".part")
    torch.save(
        {
            "weights": weights,
            "looking": told,
            "seed": SEED,
            "steps": steps,
            "pictures": pictures,
        },
        part,
    )
    part.replace(out)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--steps", type=int, default=20000)
    parser.add_argument("--batch", type=int, default=192)
    parser.add_argument("--rate", type=float, default=3e-3)
    parser.add_argument(
        "--seconds", type=float, default=1e9, help="the steps are spread over this at most"
    )
    parser.add_argument("--room", type=int, default=110_000, help="pictures the card has room for")
    parser.add_argument("--every", type=int, default=1000, help="steps from one look to the next")
    parser.add_argument(
        "--keep-norms", action="store_true", help="leave the norms' statistics as they are"
    )
    parser.add_argument("--go-on", type=Path, help="begin with the weights of an earlier run")
    parser.add_argument("--device", default="cuda")
    chosen = parser.parse_args()
    torch.manual_seed(SEED)
    device = torch.device(chosen.device)
    torch.backends.cuda.matmul.allow_tf32 = True
    torch.backends.cudnn.benchmark = True
    learnt, looked_at = Shards(chosen.room, device), Shards(chosen.room // 40, device)
    while learnt.count < min(BEGIN_WITH, chosen.room) or not looked_at.count:
        take_new(chosen.folder, learnt, looked_at)
        time.sleep(0.5)
    network = SwingNetwork()
    if chosen.go_on is not None:
        earlier = torch.load(chosen.go_on, map_location="cpu", weights_only=False)
        network.load_state_dict(earlier["weights"])
    network = network.to(device, memory_format=torch.channels_last)
    print(sum(p.numel() for p in network.parameters()), "weights", flush=True)
    final, steps = teach(network, learnt, looked_at, chosen, device)
    told = json.dumps(look(final, looked_at.all()))
    print("end", steps, learnt.count, told, flush=True)
    keep(final, chosen.out, steps, learnt.count, told)


if __name__ == "__main__":
    main()
