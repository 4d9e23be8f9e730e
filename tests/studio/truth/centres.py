"""Are the strangers' joint centres the rig's? ``python -m tests.studio.truth.centres`` shows it.

Their two neutral clips film the same swing from the front and from behind, so every joint can be put
back into space: each clip gives two coordinates of each point, the ball fixes each camera but for its
focal length, and a body's two sides are equally long. What comes out are bone lengths; divided by the
rig's own they give one number for all bones if, and only if, the joints are the same ones. (The
number itself is the golfer's size; it leans on their 1.05 m of lens height.)
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from rich.console import Console
from scipy.optimize import least_squares

from tests.studio.body import FILES, FOLDER
from tests.studio.dials import BodyName
from tests.studio.pose import Array
from tests.studio.truth.strangers import StrangerTruth, load_stranger

CLIPS = Path(__file__).resolve().parents[3].parent / "shared" / "clips"
BALL_CENTRE_M = 0.04267 / 2.0

BONES = {
    "shoulder width": (("lead_shoulder", "trail_shoulder"), ("upperarm01.L", "upperarm01.R")),
    "upper arm": (("shoulder", "elbow"), ("upperarm01.L", "lowerarm01.L")),
    "forearm": (("elbow", "wrist"), ("lowerarm01.L", "wrist.L")),
    "hip width": (("lead_hip", "trail_hip"), ("upperleg01.L", "upperleg01.R")),
    "thigh": (("hip", "knee"), ("upperleg01.L", "lowerleg01.L")),
    "shank": (("knee", "ankle"), ("lowerleg01.L", "foot.L")),
}
_LIMBS = ("upper arm", "forearm", "thigh", "shank")
_INSTANT_FRAMES = (0, 40, 56, 70, 84, 95, 104)
_RIGID = 1000.0  # pixels a metre by which a bone may differ between sides and frames
_SWAY = np.array([90.0, 90.0, 300.0])  # the two films are two takes: bodies sway centimetres apart


def rig_lengths(body: BodyName) -> dict[str, float]:
    """Lengths between the rest joints of a body as stored, metres."""
    with np.load(FOLDER / FILES[body]) as stored:
        names, joints = [str(name) for name in stored["names"]], stored["H"].astype(np.float64)
    place = dict(zip(names, joints, strict=True))
    return {
        bone: float(np.linalg.norm(place[one] - place[two]))
        for bone, (_, (one, two)) in BONES.items()
    }


@dataclass(frozen=True, slots=True)
class Lens:
    """One of their two square cameras, from its ball: ``per_metre`` pixels a metre at the ball,
    ``aside_m`` of the lens along the picture's x from the ball.
    """

    per_metre: float
    aside_m: float

    @classmethod
    def of(cls, clip: StrangerTruth) -> "Lens":
        """The camera that saw this ball, level and square, from this height."""
        across, down = np.array(clip.ball) - _centre(clip)
        per_metre = float(down) / (clip.camera.height_m - BALL_CENTRE_M)
        return cls(per_metre, -float(across) / per_metre)


def _centre(clip: StrangerTruth) -> Array:
    return np.array([(clip.width - 1) / 2.0, (clip.height - 1) / 2.0])


class TwoViews:
    """The swing of the two neutral clips in space, by least squares over a few frames."""

    def __init__(self, face_on: StrangerTruth, behind: StrangerTruth) -> None:
        self.names = [name for name in face_on.tracks if "ear" not in name and name != "nose"]
        self.height_m = face_on.camera.height_m
        self.lenses = Lens.of(face_on), Lens.of(behind)
        self.pixels = tuple(
            np.stack([clip.tracks[name][list(_INSTANT_FRAMES)] for name in self.names], axis=1)
            - _centre(clip)
            for clip in (face_on, behind)
        )
        self._solve()

    def _solve(self) -> None:
        frames, points = self.pixels[0].shape[:2]
        start = np.concatenate(
            [[1000.0, 1000.0], np.zeros(3 * frames), self._first_guess(1000.0).ravel()]
        )
        found = least_squares(self._misses, start, x_scale="jac", max_nfev=40)
        self.focals_px = found.x[:2]
        self.places = found.x[2 + 3 * frames :].reshape(frames, points, 3)
        self.rms_px = float(np.sqrt((found.fun[: 4 * frames * points] ** 2).mean()))

    def _project(self, places: Array, focals: Array, sways: Array) -> tuple[Array, Array]:
        """Pixels from the picture's centre: face-on looks along Y, the other along X."""
        front, behind = self.lenses
        swayed = places + sways[:, None]
        depth = places[..., 1] + focals[0] / front.per_metre
        far = swayed[..., 0] + focals[1] / behind.per_metre
        across = places[..., 0] - front.aside_m, -swayed[..., 1] - behind.aside_m
        up = self.height_m - places[..., 2], self.height_m - swayed[..., 2]
        return (
            focals[0] * np.stack([across[0] / depth, up[0] / depth], axis=-1),
            focals[1] * np.stack([across[1] / far, up[1] / far], axis=-1),
        )

    def _first_guess(self, focal: float) -> Array:
        """Both depths as the ball's, then the two pictures averaged."""
        front, behind = self.pixels[0], self.pixels[1]
        one, two = self.lenses
        x = front[..., 0] / one.per_metre + one.aside_m
        y = -(behind[..., 0] / two.per_metre + two.aside_m)
        for _ in range(5):
            depth, far = y + focal / one.per_metre, x + focal / two.per_metre
            x = front[..., 0] * depth / focal + one.aside_m
            y = -(behind[..., 0] * far / focal + two.aside_m)
        z = self.height_m - front[..., 1] * (y + focal / one.per_metre) / focal
        return np.stack([x, y, z], axis=-1)

    def _misses(self, unknown: Array) -> Array:
        frames, points = self.pixels[0].shape[:2]
        sways = unknown[2 : 2 + 3 * frames].reshape(frames, 3)
        places = unknown[2 + 3 * frames :].reshape(frames, points, 3)
        seen = self._project(places, unknown[:2], sways)
        parts = [(one - two).ravel() for one, two in zip(seen, self.pixels, strict=True)]
        rigid = [_RIGID * (one - one.mean()).ravel() for one in self._lengths(places).values()]
        return np.concatenate([*parts, *rigid, (_SWAY * sways).ravel()])

    def _lengths(self, places: Array) -> dict[str, Array]:
        """Bones that are equally long in all frames and on both sides; the club."""

        def between(one: str, two: str) -> Array:
            gap = places[:, self.names.index(one)] - places[:, self.names.index(two)]
            return np.asarray(np.linalg.norm(gap, axis=1))

        found = {
            bone: np.stack(
                [between(f"{side}_{one}", f"{side}_{two}") for side in ("lead", "trail")]
            )
            for bone, ((one, two), _) in BONES.items()
            if bone in _LIMBS
        }
        found["hip width"] = between(*BONES["hip width"][0])
        found["shoulder width"] = between(*BONES["shoulder width"][0])
        found["club"] = between("butt", "hosel")
        return found

    def lengths_m(self) -> dict[str, float]:
        """Mean length of each bone, metres."""
        return {bone: float(values.mean()) for bone, values in self._lengths(self.places).items()}


def ratios(body: BodyName, lengths: Mapping[str, float]) -> dict[str, float]:
    """Their length over the rig's, bone by bone."""
    return {bone: lengths[bone] / length for bone, length in rig_lengths(body).items()}


def neutral_views(folder: Path = CLIPS) -> TwoViews:
    """The two neutral clips of a folder."""
    return TwoViews(
        load_stranger(folder / "dev_fo_neutral.json"),
        load_stranger(folder / "dev_dtl_neutral.json"),
    )


def address_shares(clip: StrangerTruth) -> dict[str, float]:
    """Hip width and shank over thigh in the first picture of a face-on clip, mean of both sides.

    All three lie nearly in the picture's plane, at nearly one distance.
    """

    def gap(one: str, two: str) -> float:
        return float(np.linalg.norm(clip.tracks[one][0] - clip.tracks[two][0]))

    sides = ("lead", "trail")
    thigh = sum(gap(f"{side}_hip", f"{side}_knee") for side in sides) / 2.0
    shank = sum(gap(f"{side}_knee", f"{side}_ankle") for side in sides) / 2.0
    return {"hip width": gap("lead_hip", "trail_hip") / thigh, "shank": shank / thigh}


def main() -> None:
    """Print the comparison."""
    views = neutral_views()
    lengths = views.lengths_m()
    out = Console()
    out.print(f"residual {views.rms_px:.2f} px; club, butt end to hosel, {lengths['club']:.3f} m")
    for bone, ratio in ratios(BodyName.MAN, lengths).items():
        out.print(f"{bone:16s} {lengths[bone]:.3f} m, over the rig's {ratio:.3f}")


if __name__ == "__main__":
    main()
