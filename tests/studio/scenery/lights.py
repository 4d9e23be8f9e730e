"""The light of each place: where it comes from, how much there is, and what it does to shadows."""

import math
from dataclasses import dataclass

import numpy as np

from tests.studio.dials import Background, ClipDials
from tests.studio.pose import Array

Rgb = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Light:
    """Linear light, 1 = as bright as the sensor holds.

    ``sun_way``: unit, towards the sun or the lamps. ``sun``, ``sky``, ``ground``: what a white
    surface facing it gets from the sun, from above and from below. ``shadows``: directions
    towards the lights that throw shadows on the ground, each with the share of the ground's light
    that it takes away. ``illuminance``: of full sunlight, for the noise.
    """

    sun_way: Array
    sun: Rgb
    sky: Rgb
    ground: Rgb
    sky_top: Rgb
    sky_low: Rgb
    cloudy: float
    shadows: tuple[tuple[Array, float], ...]
    illuminance: float


def light_of(dials: ClipDials) -> Light:
    """The light of the clip's place; the sun's bearing differs from clip to clip."""
    random = np.random.default_rng([dials.seed, 0x11])
    # Behind the camera, as the filming guide asks, give or take: the camera looks to +Y or to +X.
    behind = -90.0 if dials.camera.view.value == "face-on" else 180.0
    bearing = math.radians(behind + float(random.uniform(-65.0, 65.0)))
    place = dials.scene.background
    if place is Background.INDOOR:
        return _lamps(bearing)
    if place is Background.EVENING:
        return _evening(bearing, float(random.uniform(13.0, 20.0)))
    if place is Background.NET_BAY:
        return _dull(bearing, float(random.uniform(45.0, 60.0)))
    return _day(bearing, float(random.uniform(36.0, 58.0)), float(random.uniform(0.05, 0.55)))


def _way(bearing: float, height_deg: float) -> Array:
    height = math.radians(height_deg)
    flat = math.cos(height)
    return np.array([flat * math.cos(bearing), flat * math.sin(bearing), math.sin(height)])


def _round_about(height_deg: float, count: int, share: float) -> list[tuple[Array, float]]:
    """Soft light from all round: ``count`` directions at that height taking ``share`` together."""
    turns = np.arange(count) * 2.0 * math.pi / count + 0.4
    return [(_way(float(turn), height_deg), share / count) for turn in turns]


def _day(bearing: float, height_deg: float, cloudy: float) -> Light:
    sun = _way(bearing, height_deg)
    return Light(
        sun_way=sun,
        sun=(0.84, 0.79, 0.70),
        sky=(0.30, 0.34, 0.40),
        ground=(0.12, 0.14, 0.07),
        sky_top=(0.17, 0.32, 0.64),
        sky_low=(0.60, 0.71, 0.82),
        cloudy=cloudy,
        shadows=((sun, 0.55), *_round_about(58.0, 4, 0.22)),
        illuminance=1.0,
    )


def _dull(bearing: float, height_deg: float) -> Light:
    sun = _way(bearing, height_deg)
    return Light(
        sun_way=sun,
        sun=(0.30, 0.30, 0.29),
        sky=(0.55, 0.57, 0.60),
        ground=(0.15, 0.17, 0.12),
        sky_top=(0.52, 0.57, 0.64),
        sky_low=(0.72, 0.74, 0.76),
        cloudy=0.95,
        shadows=((sun, 0.14), *_round_about(55.0, 5, 0.38)),
        illuminance=0.12,
    )


def _evening(bearing: float, height_deg: float) -> Light:
    sun = _way(bearing, height_deg)
    return Light(
        sun_way=sun,
        sun=(0.85, 0.50, 0.24),
        sky=(0.17, 0.19, 0.25),
        ground=(0.08, 0.07, 0.05),
        sky_top=(0.13, 0.20, 0.38),
        sky_low=(0.74, 0.50, 0.34),
        cloudy=0.35,
        shadows=((sun, 0.42), *_round_about(55.0, 4, 0.28)),
        illuminance=0.03,
    )


def _lamps(bearing: float) -> Light:
    return Light(
        sun_way=_way(bearing, 62.0),
        sun=(0.40, 0.37, 0.32),
        sky=(0.38, 0.36, 0.33),
        ground=(0.16, 0.15, 0.13),
        sky_top=(0.5, 0.5, 0.5),
        sky_low=(0.5, 0.5, 0.5),
        cloudy=1.0,
        shadows=((_way(bearing, 70.0), 0.16), *_round_about(60.0, 5, 0.40)),
        illuminance=0.012,
    )
