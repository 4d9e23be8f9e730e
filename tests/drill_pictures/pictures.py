"""Which pictures each drill has: what they show, in words for those who do not see them."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from api.domain.names import View
from tests.drill_pictures.figure import Figure, at
from tests.drill_pictures.props import (
    Shape,
    angle,
    arrow,
    golfer,
    light_from_grip,
    rod,
    towel,
    turning,
    wall_behind,
    wall_beside,
)
from tests.studio.pose import Joint
from tests.studio.swing.keys import Phase

FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE
HALF_GRIP_M = 0.27


@dataclass(frozen=True, slots=True)
class Picture:
    """``caption``: what to look at, under the picture; ``alt``: what is drawn."""

    view: View
    caption: str
    alt: str
    shapes: tuple[Shape, ...]


def _plain(phase: float, *more: Shape, ball: bool = True) -> tuple[Shape, ...]:
    figure = at(phase)
    return (golfer(figure if ball else figure.without_ball()), *more)


def pictures() -> Mapping[str, tuple[Picture, ...]]:
    """Every drill's pictures by its id, in the order of its steps."""
    address, level = at(Phase.ADDRESS), at(Phase.ARM_PARALLEL)
    top, finish = at(Phase.TOP), at(Phase.FINISH)
    return {
        "press-then-go": _press(address),
        "thigh-then-set": _thigh(level),
        "stop-and-look": (
            Picture(
                FACE_ON,
                "Lead arm level, an upright L.",
                "Face-on: the lead arm is level, the shaft stands square to it.",
                (golfer(level.without_ball()), angle(level)),
            ),
        ),
        "diagonal-hinge": _diagonal(address, level),
        "grip-end-at-the-line": (
            Picture(
                BEHIND,
                "The light from the grip end falls between the rods.",
                "From behind: lead arm level, two rods on the ground, and a dashed line from the grip "
                "end to a spot between them.",
                (
                    golfer(level.without_ball()),
                    rod(0.0),
                    rod(HALF_GRIP_M),
                    light_from_grip(level),
                ),
            ),
        ),
        "towel-hug": (
            Picture(
                FACE_ON,
                "A folded towel under the lead upper arm.",
                "Face-on at address: a folded towel hangs between the lead upper arm and the chest.",
                (golfer(address.without_ball()), towel(address)),
            ),
            Picture(
                FACE_ON,
                "The chest has turned with the arm.",
                "Face-on with the lead arm level: the towel is still there, the chest has turned.",
                (golfer(level.without_ball()), towel(level)),
            ),
        ),
        "trail-hand-set": _one_hand(address, level, "trail"),
        "lead-hand-set": _one_hand(address, level, "lead"),
        "wall-at-the-hip": _wall_at_hip(address, top),
        "wall-behind-you": _wall_behind(address),
        "rod-at-the-toes": (
            Picture(
                BEHIND,
                "Hands a little behind the rod.",
                "From behind: lead arm level, a rod across the tips of the toes, the hands a little "
                "on the body's side of it.",
                (golfer(level.without_ball()), rod(_toe_line(level))),
            ),
        ),
        "three-quarter-pause": (
            Picture(
                FACE_ON,
                "Stop with the lead arm level: two seconds.",
                "Face-on: the lead arm is level, the shaft stands square to it.",
                (golfer(level), angle(level)),
            ),
            Picture(
                FACE_ON,
                "On to a three-quarter top.",
                "Face-on: the hands are a little higher than the shoulders, short of a full top.",
                _plain(2.6),
            ),
            Picture(
                FACE_ON,
                "Through at half speed; hold the finish.",
                "Face-on: the finish, chest to the target, standing on the lead foot.",
                (golfer(finish),),
            ),
        ),
        "slow-whole-swing": tuple(
            Picture(FACE_ON, f"{count}", f"Face-on: {what}.", _plain(phase, ball=False))
            for phase, count, what in (
                (Phase.ADDRESS, "One: address.", "address"),
                (
                    Phase.ARM_PARALLEL,
                    "Three: lead arm level.",
                    "the lead arm level, shaft square to it",
                ),
                (Phase.TOP, "Five: the top.", "the top of the backswing"),
                (Phase.IMPACT, "Six: where the ball would be.", "the club where the ball would be"),
                (Phase.FINISH, "Eight: the finish.", "the finish, chest to the target"),
            )
        ),
        "ten-and-five": (
            Picture(
                FACE_ON,
                "Ten times without a ball, with the stop.",
                "Face-on: the lead arm is level, no ball on the ground.",
                (golfer(level.without_ball()), angle(level)),
            ),
            Picture(
                FACE_ON,
                "Five times with a ball, slowly.",
                "Face-on: address, with a ball.",
                (golfer(address),),
            ),
        ),
        "finish-and-hold": (
            Picture(
                FACE_ON,
                "Lead foot, trail toe just touching: count to three.",
                "Face-on: the finish, chest to the target, the trail heel up.",
                (golfer(finish),),
            ),
        ),
        "feet-together": _feet_together(address),
    }


def _press(address: Figure) -> tuple[Picture, ...]:
    ankle = address[Joint.TRAIL_ANKLE]
    x, y = float(ankle[0]), float(ankle[1])
    return (
        Picture(
            FACE_ON,
            "Press into the ground under the trail foot.",
            "Face-on at address: an arrow goes down through the trail leg into the ground.",
            (golfer(address), arrow((x - 0.22, y - 0.1, 0.62), (x - 0.22, y - 0.1, 0.12))),
        ),
        Picture(
            FACE_ON,
            "Only then does the chest move the club. Stop at hip height.",
            "Face-on: the chest has begun to turn, the hands are beside the trail hip.",
            _plain(1.25, turning(at(1.25))),
        ),
    )


def _thigh(level: Figure) -> tuple[Picture, ...]:
    return (
        Picture(
            FACE_ON,
            "Hands at the trail thigh: hardly any hinge.",
            "Face-on: the hands are in front of the trail thigh, the shaft goes on from the arms.",
            _plain(Phase.PAST_TRAIL_LEG, ball=False),
        ),
        Picture(
            FACE_ON,
            "Then the wrists lift the club while the chest turns.",
            "Face-on: the lead arm is level, the shaft stands square to it.",
            (golfer(level.without_ball()), angle(level)),
        ),
    )


def _diagonal(address: Figure, level: Figure) -> tuple[Picture, ...]:
    tall = address.without_ball().upright()
    belt = tall.middle(Joint.LEAD_HIP, Joint.TRAIL_HIP)
    out = tall.holding(belt + np.array([0.0, -0.42, 0.12]), np.array([0.0, -1.0, 0.05]))
    shoulder = tall[Joint.TRAIL_SHOULDER]
    hands = np.array([shoulder[0] + 0.02, belt[1] - 0.40, shoulder[2] - 0.16])
    hinged = tall.holding(hands, np.array([-0.55, -0.45, 0.71]))
    return (
        Picture(
            BEHIND,
            "Stand tall, the club out in front of the belt.",
            "From behind: standing upright, the club held out level in front.",
            (golfer(out),),
        ),
        Picture(
            FACE_ON,
            "Hinge on a slant of 45 degrees to the trail shoulder. Stop.",
            "Face-on: standing upright, the hands before the trail shoulder, the shaft half-way "
            "between level and upright.",
            (golfer(hinged),),
        ),
        Picture(
            BEHIND,
            "Turn the chest, then bow from the hips, and look.",
            "From behind: bowed in the golf posture, chest turned, lead arm level.",
            (golfer(level.without_ball()), light_from_grip(level)),
        ),
    )


def _one_hand(address: Figure, level: Figure, hand: str) -> tuple[Picture, ...]:
    """The other hand rests: on the belt with the trail hand alone, on the chest with the lead hand."""
    rests = "lead" if hand == "trail" else "trail"

    def resting(figure: Figure) -> Figure:
        hips = figure.middle(Joint.LEAD_HIP, Joint.TRAIL_HIP)
        chest = figure.middle(Joint.LEAD_SHOULDER, Joint.TRAIL_SHOULDER)
        out, down = figure.facing(), (hips - chest) / np.linalg.norm(hips - chest)
        side = figure[Joint(f"{rests}_hip")] - hips
        place = (
            hips + 0.9 * side + 0.13 * out if rests == "lead" else chest + 0.14 * out + 0.1 * down
        )
        away = figure[Joint(f"{rests}_shoulder")] - chest
        return figure.without_ball().with_hand_at(rests, place, away + 0.4 * down)

    where = "the lead hand on the belt" if hand == "trail" else "the trail hand on the chest"
    stopped = resting(level)
    return (
        Picture(
            FACE_ON,
            f"One hand on a short club, {where}.",
            f"Face-on at address: the {hand} hand holds the club, {where}.",
            (golfer(resting(address)),),
        ),
        Picture(
            FACE_ON,
            "The elbow folds and the club stands up."
            if hand == "trail"
            else "The thumb side draws the club up; the arm level.",
            f"Face-on: the {hand} hand alone has brought the club up, {where}.",
            (golfer(stopped),),
        ),
    )


def _wall_at_hip(address: Figure, top: Figure) -> tuple[Picture, ...]:
    before, turned = address.crossed_arms(), top.crossed_arms()
    hip = before[Joint.TRAIL_HIP]
    wall = wall_beside(float(hip[0]) - 0.22, float(hip[1]))
    return (
        Picture(
            FACE_ON,
            "A hand's breadth between trail hip and wall. No club.",
            "Face-on: golf posture with crossed arms, a wall beside the trail hip.",
            (golfer(before), wall),
        ),
        Picture(
            FACE_ON,
            "Turn: the hip goes behind you, not into the wall.",
            "Face-on: turned back with crossed arms; the trail hip does not press on the wall.",
            (golfer(turned), wall, turning(turned)),
        ),
    )


def _wall_behind(address: Figure) -> tuple[Picture, ...]:
    before = address.crossed_arms()
    turned = at(Phase.ARM_PARALLEL).crossed_arms()
    hips = max(float(before[Joint.TRAIL_HIP][1]), float(before[Joint.LEAD_HIP][1]))
    wall = wall_behind(hips + 0.15)
    return (
        Picture(
            BEHIND,
            "Both buttocks lightly on the wall. No club.",
            "From behind the hands: golf posture with crossed arms, the seat touching a wall.",
            (golfer(before), wall),
        ),
        Picture(
            BEHIND,
            "Turn back and through without leaving it.",
            "From behind the hands: turned back, still touching the wall.",
            (golfer(turned), wall),
        ),
    )


def _feet_together(address: Figure) -> tuple[Picture, ...]:
    def together(figure: Figure) -> Figure:
        lead, trail = figure[Joint.LEAD_ANKLE], figure[Joint.TRAIL_ANKLE]
        middle = (lead + trail) / 2.0
        hips = figure.middle(Joint.LEAD_HIP, Joint.TRAIL_HIP)
        aside = np.array([0.055, 0.0, 0.0])
        place = np.array([hips[0], middle[1], 0.0])
        return figure.with_foot_at(
            "lead", place + aside + np.array([0.0, 0.0, lead[2]])
        ).with_foot_at("trail", place - aside + np.array([0.0, 0.0, trail[2]]))

    return (
        Picture(
            FACE_ON,
            "Heels touching, hands a little lower on the club.",
            "Face-on at address: the feet are side by side.",
            (golfer(together(address.without_ball())),),
        ),
        Picture(
            FACE_ON,
            "Three-quarter back: one, two, three.",
            "Face-on: a three-quarter backswing on feet that are side by side.",
            (golfer(together(at(2.6).without_ball())),),
        ),
    )


def _toe_line(figure: Figure) -> float:
    return min(float(figure[Joint.LEAD_TOE][1]), float(figure[Joint.TRAIL_TOE][1])) - 0.05
