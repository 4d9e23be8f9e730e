"""Teaches the swing network: ``python -m tests.training.train FOLDER --out swing.pt``.

FOLDER holds the shards of ``tests.training.shards`` and, under ``looking``, those of clips that are
not learnt from. Needs torch and a card; the same seed on the same card gives nearly the same weights.
"""

import argparse
import json
import math
import time
from pathlib import Path

import numpy as np
import torch
from torch import Tensor

from tests.training.augment import augment, leaves, middle
from tests.training.network import POINTS, SwingNetwork

SEED = 20261128
GOAL_CELLS = 1.2
"""One sigma of the heat map that is asked for, cells."""


def load(folder: Path, device: torch.device) -> dict[str, Tensor]:
    """All shards of a folder on the card."""
    pictures = sorted(folder.glob("pictures_*.npy"))
    labels = [
        np.load(str(p).replace("pictures_", "labels_").replace(".npy", ".npz")) for p in pictures
    ]
    whole = {
        name: torch.from_numpy(np.concatenate([each[name] for each in labels])).to(device)
        for name in ("pixels", "depth_m", "camera")
    }
    parts = [torch.from_numpy(np.load(p)).permute(0, 3, 1, 2) for p in pictures]
    whole["canvas"] = torch.cat([part.to(device) for part in parts])
    return whole


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
    placed = torch.nan_to_num(placed)
    weight = asked.float()
    total = weight.sum().clamp_min(1.0)
    by_place = (likelihood(places - placed, log_spread) * weight).sum() / total
    by_heat = (heat_goal(placed, heat) * weight).sum() / total
    true_depth = torch.nan_to_num(batch["depth_m"])
    deep = depth_spread.clamp(-5.0, 2.0)
    by_depth = ((deep + (depth - true_depth).abs() * torch.exp(-deep)) * weight).sum() / total
    facts = batch["camera"][:, :3].clone()
    facts[:, 1] += turn
    wide = camera_spread.clamp(-2.0, 4.0)
    by_camera = (wide + (camera - facts).abs() * torch.exp(-wide)).mean()
    return by_place + 0.3 * by_heat + 0.3 * by_depth + 0.1 * by_camera


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
    network.train()
    return {
        "median_px": medians,
        "p90_px": nineties,
        "inside": inside,
        "arm_deg": apart(3, 7, 25.0),
        "shaft_deg": apart(19, 21, 25.0),
        "camera_deg": [round(float(v), 2) for v in facts.abs().median(dim=0).values],
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--steps", type=int, default=6000)
    parser.add_argument("--batch", type=int, default=192)
    parser.add_argument("--rate", type=float, default=3e-3)
    parser.add_argument(
        "--seconds", type=float, default=1e9, help="the steps are spread over this at most"
    )
    parser.add_argument("--device", default="cuda")
    chosen = parser.parse_args()
    torch.manual_seed(SEED)
    device = torch.device(chosen.device)
    torch.backends.cuda.matmul.allow_tf32 = True
    torch.backends.cudnn.benchmark = True
    data, looking = load(chosen.folder, device), load(chosen.folder / "looking", device)
    print({k: tuple(v.shape) for k, v in data.items()}, flush=True)
    others = leaves(300 if device.type == "cuda" else 8, SEED, device)
    network = SwingNetwork().to(device, memory_format=torch.channels_last)
    print(sum(p.numel() for p in network.parameters()), "weights", flush=True)
    average = torch.optim.swa_utils.AveragedModel(
        network, multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(0.998), use_buffers=True
    )
    optimiser = torch.optim.AdamW(network.parameters(), lr=chosen.rate, weight_decay=0.02)
    started = time.time()
    count = len(data["canvas"])
    step, share = 0, 0.0
    behind = others
    while share < 1.0:
        rows = torch.randint(count, (chosen.batch,), device=device)
        batch = {name: value[rows] for name, value in data.items()}
        if step % 3 == 0:
            behind = torch.cat(
                [others, data["canvas"][torch.randint(count, (len(others),), device=device), :3]]
            )
        picture, placed, asked, turn = augment(batch["canvas"], batch["pixels"], behind)
        share = min(1.0, max(step / chosen.steps, (time.time() - started) / chosen.seconds))
        rate = chosen.rate * min(1.0, (step + 1) / 200) * 0.5 * (1.0 + math.cos(math.pi * share))
        for group in optimiser.param_groups:
            group["lr"] = rate
        with torch.autocast(device.type, dtype=torch.bfloat16):
            outputs = network(picture.contiguous(memory_format=torch.channels_last))
        loss = loss_of(outputs, placed, asked, batch, turn)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(network.parameters(), 5.0)
        optimiser.step()
        average.update_parameters(network)
        if step % 1000 == 0:
            print(
                step,
                round(time.time() - started),
                f"{loss.item():.3f}",
                json.dumps(look(average.module, looking)),
                flush=True,
            )
        step += 1
    final = average.module
    told = look(final, looking)
    print("end", step, round(time.time() - started), json.dumps(told), flush=True)
    torch.save(
        {"weights": final.float().state_dict(), "looking": told, "seed": SEED, "steps": step},
        chosen.out,
    )


if __name__ == "__main__":
    main()
