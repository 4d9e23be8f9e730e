"""The swing network: a square picture of a golfer in, the places of body, club and ball out.

A small encoder of inverted residuals (Sandler et al. 2018, arXiv 1801.04381) and a decoder that adds
its levels up (Lin et al. 2017, arXiv 1612.03144). Each point has a heat map at a quarter of the
picture's size; its place is the map's mean (Nibali et al. 2018, arXiv 1801.07372), its spread the mean
of a second map, learnt together by likelihood.
"""

import torch
from torch import Tensor, nn

SIDE = 320
"""Side of the input, pixels."""
STRIDE = 4
CELLS = SIDE // STRIDE
POINTS = 24
CAMERA = 3
"""Azimuth, roll, and how far the middle of the hips lies below the lens's height as seen from it, degrees."""


def _conv(given: int, made: int, kernel: int, stride: int = 1, groups: int = 1) -> nn.Sequential:
    return nn.Sequential(
        nn.Conv2d(given, made, kernel, stride, kernel // 2, groups=groups, bias=False),
        nn.BatchNorm2d(made),
        nn.ReLU(inplace=True),
    )


class _Inverted(nn.Module):  # type: ignore[misc]  # torch is not installed where types are checked
    """Widen, filter each channel, narrow; added to its input where shapes agree."""

    def __init__(self, given: int, made: int, stride: int, wider: int = 4, kernel: int = 3) -> None:
        super().__init__()
        inner = given * wider
        self.same = stride == 1 and given == made
        self.steps = nn.Sequential(
            _conv(given, inner, 1),
            _conv(inner, inner, kernel, stride, inner),
            nn.Conv2d(inner, made, 1, bias=False),
            nn.BatchNorm2d(made),
        )

    def forward(self, x: Tensor) -> Tensor:
        y: Tensor = self.steps(x)
        return x + y if self.same else y


def _level(given: int, made: int, times: int, kernel: int) -> nn.Sequential:
    blocks = [_Inverted(given, made, 2, kernel=kernel)]
    blocks += [_Inverted(made, made, 1, kernel=kernel) for _ in range(times - 1)]
    return nn.Sequential(*blocks)


def _separable(channels: int) -> nn.Sequential:
    return nn.Sequential(
        _conv(channels, channels, 5, groups=channels), _conv(channels, channels, 1)
    )


class SwingNetwork(nn.Module):  # type: ignore[misc]  # as above
    """``forward``: (n, 3, 320, 320) in [0, 1] -> places (n, 24, 2) pixels, first pixel's centre at
    0, 0; log of the spread (n, 24), pixels; depths (n, 24) metres and their log spread; camera (n, 3)
    degrees and its log spread; heat maps (n, 24, 80, 80), logits.
    """

    def __init__(self, width: int = 56) -> None:
        super().__init__()
        self.stem = _conv(3, 16, 3, 2)
        self.levels = nn.ModuleList(
            [
                _level(16, 24, 2, 3),
                _level(24, 48, 3, 5),
                _level(48, 96, 4, 5),
                _level(96, 176, 4, 5),
            ]
        )
        self.sides = nn.ModuleList([nn.Conv2d(c, width, 1) for c in (24, 48, 96, 176)])
        self.mixes = nn.ModuleList([_separable(width) for _ in range(3)])
        self.last = nn.Sequential(_separable(width), _separable(width))
        self.heat = nn.Conv2d(width, POINTS, 1)
        self.spread = nn.Conv2d(width, POINTS, 1)
        self.whole = nn.Sequential(nn.Linear(176, 256), nn.ReLU(inplace=True))
        self.depth = nn.Linear(256, 2 * POINTS)
        self.camera = nn.Linear(256, 4)
        # How the places and depths of both feet, hips and hands go together tells from what height they
        # are seen: this head is given what the others found.
        self.below = nn.Sequential(
            nn.Linear(176 + 3 * POINTS, 256),
            nn.ReLU(inplace=True),
            nn.Linear(256, 256),
            nn.ReLU(inplace=True),
            nn.Linear(256, 2),
        )
        cells = torch.arange(CELLS, dtype=torch.float32) * STRIDE + (STRIDE - 1) / 2.0
        self.register_buffer("cells", cells)

    def forward(self, picture: Tensor) -> tuple[Tensor, ...]:
        x = self.stem(picture)
        seen = []
        for level in self.levels:
            x = level(x)
            seen.append(x)
        y = self.sides[3](seen[3])
        for i in (2, 1, 0):
            y = nn.functional.interpolate(y, scale_factor=2.0, mode="nearest")
            y = self.mixes[i](y + self.sides[i](seen[i]))
        y = self.last(y)
        heat = self.heat(y).float()
        share = torch.softmax(heat.flatten(2), dim=2).view(heat.shape)
        across, down = share.sum(dim=2), share.sum(dim=3)
        # A product and a sum, not a matrix product: that would run at half precision in training.
        places = torch.stack([(across * self.cells).sum(2), (down * self.cells).sum(2)], dim=2)
        log_spread = (share * self.spread(y).float()).sum(dim=(2, 3))
        pooled = seen[3].mean(dim=(2, 3))
        whole = self.whole(pooled).float()
        depth, camera = self.depth(whole), self.camera(whole)
        found = (places.detach() / SIDE - 0.5).flatten(1)
        below = self.below(torch.cat([pooled, found, depth[:, :POINTS].detach()], dim=1)).float()
        return (
            places,
            log_spread,
            depth[:, :POINTS],
            depth[:, POINTS:],
            10.0 * torch.cat([camera[:, :2], below[:, :1]], dim=1),
            torch.cat([camera[:, 2:], below[:, 1:]], dim=1),
            heat,
        )
