"""What is done to a saved picture before the network sees it: as many phones, places and lights as
can be made from one rendering. All of it on the card, a whole batch at once.
"""

import math

import torch
from torch import Tensor
from torch.nn import functional

from tests.training.network import SIDE

CANVAS = 384
OUTSIDE_PX = -2.0
"""A point farther outside the network's picture than this is not asked for."""


def augment(
    canvas: Tensor, pixels: Tensor, scenery: Tensor
) -> tuple[Tensor, Tensor, Tensor, Tensor]:
    """(n, 4, 384, 384) uint8, points (n, p, 2) on it, other pictures (m, 3, 384, 384) uint8 to put
    behind -> pictures (n, 3, 320, 320), points on them, which are asked for (n, p), and the turn of
    each picture (n,), degrees, anticlockwise positive.
    """
    n = len(canvas)
    device = canvas.device
    light = canvas[:, :3].float() / 255.0
    cover = canvas[:, 3:].float() / 255.0
    light = _other_place(light, cover, scenery)
    turn = torch.randn(n, device=device) * 4.0
    turn = torch.where(torch.rand(n, device=device) < 0.1, turn * 4.0, turn)
    grow = torch.exp(torch.randn(n, device=device) * 0.10)
    shift = torch.randn(n, 2, device=device) * 10.0
    picture, placed = _moved(light, pixels, turn, grow, shift)
    picture = _seen_otherwise(picture)
    inside = (placed > OUTSIDE_PX) & (placed < SIDE - 1 - OUTSIDE_PX)
    asked = inside.all(dim=2) & torch.isfinite(pixels).all(dim=2)
    return picture, placed, asked, turn


def middle(canvas: Tensor, pixels: Tensor) -> tuple[Tensor, Tensor, Tensor]:
    """The same without chance: the middle of the canvas as it is."""
    n = len(canvas)
    zero = torch.zeros(n, device=canvas.device)
    picture, placed = _moved(
        canvas[:, :3].float() / 255.0,
        pixels,
        zero,
        zero + 1.0,
        torch.zeros(n, 2, device=canvas.device),
    )
    inside = (placed > OUTSIDE_PX) & (placed < SIDE - 1 - OUTSIDE_PX)
    return picture, placed, inside.all(dim=2) & torch.isfinite(pixels).all(dim=2)


def _other_place(light: Tensor, cover: Tensor, scenery: Tensor) -> Tensor:
    """Half of the pictures get other scenery behind golfer and club: another clip's or leaves of all
    sizes and colours (in the manner of Lee, Mumford & Huang 2001, Int. J. Comput. Vis. 41:35).
    """
    n = len(light)
    device = light.device
    pick = torch.randint(len(scenery), (n,), device=device)
    behind = scenery[pick].float() / 255.0
    gain = 0.5 + torch.rand(n, 1, 1, 1, device=device)
    laid = light * cover + (behind * gain).clamp(0, 1) * (1.0 - cover)
    swap = (torch.rand(n, 1, 1, 1, device=device) < 0.5).float()
    return swap * laid + (1.0 - swap) * light


def _moved(
    light: Tensor, pixels: Tensor, turn: Tensor, grow: Tensor, shift: Tensor
) -> tuple[Tensor, Tensor]:
    """Turn (degrees, anticlockwise as seen), growth and shift (pixels) of a golfer in the picture."""
    radians = turn * (math.pi / 180.0)
    cos, sin = torch.cos(radians), torch.sin(radians)
    # y runs down: an anticlockwise turn as seen takes (x, y) to (c x + s y, -s x + c y).
    forward = (
        torch.stack([torch.stack([cos, sin], 1), torch.stack([-sin, cos], 1)], 1)
        * grow[:, None, None]
    )
    from_middle = pixels - (CANVAS - 1) / 2.0
    placed = from_middle @ forward.transpose(1, 2) + shift[:, None] + (SIDE - 1) / 2.0
    back = torch.linalg.inv(forward)
    line = torch.arange(SIDE, device=light.device, dtype=torch.float32) - (SIDE - 1) / 2.0
    rows, columns = torch.meshgrid(line, line, indexing="ij")
    grid = torch.stack([columns, rows], 2).view(1, -1, 2) - shift[:, None]
    where = grid @ back.transpose(1, 2)
    where = (where * 2.0 / CANVAS).view(len(light), SIDE, SIDE, 2)
    picture = functional.grid_sample(light, where, mode="bilinear", align_corners=False)
    return picture, placed


def _seen_otherwise(picture: Tensor) -> Tensor:
    """Colour, contrast, softness, grain, things in the way."""
    n = len(picture)
    device = picture.device

    def drawn(low: float, high: float) -> Tensor:
        return low + (high - low) * torch.rand(n, 1, 1, 1, device=device)

    picture = picture.clamp(1e-4, 1.0) ** torch.exp(torch.randn(n, 1, 1, 1, device=device) * 0.35)
    tint = torch.exp(torch.randn(n, 3, 1, 1, device=device) * 0.12)
    mean = picture.mean(dim=(1, 2, 3), keepdim=True)
    picture = (picture - mean) * drawn(0.6, 1.4) + mean * drawn(0.7, 1.3)
    picture = picture * tint
    gray = picture.mean(dim=1, keepdim=True)
    picture = gray + (picture - gray) * drawn(0.0, 1.6)
    # Smaller and back: a golfer far away, a soft lens, a coarse file.
    small = torch.rand(n, device=device) < 0.35
    if small.any():
        size = int(SIDE * (0.4 + 0.55 * torch.rand(1).item()))
        less = functional.interpolate(
            picture[small], size=(size, size), mode="bilinear", antialias=True
        )
        picture[small] = functional.interpolate(less, size=(SIDE, SIDE), mode="bilinear")
    sharp = torch.rand(n, device=device) < 0.2
    if sharp.any():
        part = picture[sharp]
        picture[sharp] = part + 0.7 * (part - functional.avg_pool2d(part, 3, 1, 1))
    grain = torch.randn(picture.shape, device=device) * drawn(0.0, 0.06)
    picture = picture + grain
    return _things_in_the_way(picture.clamp(0.0, 1.0))


def _things_in_the_way(picture: Tensor) -> Tensor:
    n = len(picture)
    line = torch.arange(SIDE, device=picture.device, dtype=torch.float32)
    for _ in range(2):
        centre = torch.rand(n, 2, device=picture.device) * SIDE
        half = 4.0 + 22.0 * torch.rand(n, 2, device=picture.device)
        there = torch.rand(n, device=picture.device) < 0.3
        across = (line[None] - centre[:, :1]).abs() < half[:, :1]
        down = (line[None] - centre[:, 1:]).abs() < half[:, 1:]
        box = (down[:, :, None] & across[:, None, :] & there[:, None, None])[:, None].float()
        colour = torch.rand(n, 3, 1, 1, device=picture.device)
        picture = picture * (1.0 - box) + colour * box
    return picture


def leaves(count: int, seed: int, device: torch.device) -> Tensor:
    """(count, 3, 384, 384) uint8 pictures of leaves, bars and soft light over one another."""
    random = torch.Generator(device="cpu").manual_seed(seed)
    rows, columns = torch.meshgrid(
        torch.arange(CANVAS, device=device, dtype=torch.float32),
        torch.arange(CANVAS, device=device, dtype=torch.float32),
        indexing="ij",
    )
    made = torch.empty(count, 3, CANVAS, CANVAS, dtype=torch.uint8, device=device)
    for k in range(count):
        picture = torch.rand(3, 1, 1, generator=random).to(device).expand(3, CANVAS, CANVAS).clone()
        pieces = int(torch.randint(5, 140, (1,), generator=random))
        draws = torch.rand(pieces, 10, generator=random)
        for d in draws.tolist():
            radius = 3.0 + 120.0 * d[0] ** 4
            long = radius * (1.0 + 14.0 * (d[1] > 0.8) * d[2])
            angle = math.pi * d[3]
            x, y = columns - CANVAS * d[4], rows - CANVAS * d[5]
            u, v = (
                x * math.cos(angle) + y * math.sin(angle),
                y * math.cos(angle) - x * math.sin(angle),
            )
            inside = (
                (u / long) ** 2 + (v / radius) ** 2 < 1.0
                if d[9] < 0.5
                else (u.abs() < long) & (v.abs() < radius)
            )
            colour = torch.tensor(d[6:9], device=device)[:, None, None]
            shade = 1.0 + 0.3 * torch.sin(u * 0.3 * d[0]) * (d[2] > 0.5)
            picture = torch.where(inside[None], (colour * shade).clamp(0, 1), picture)
        if k % 3:
            picture = functional.avg_pool2d(picture[None], 2 * (k % 3) + 1, 1, k % 3)[0]
        made[k] = (255.0 * picture).to(torch.uint8)
    return made
