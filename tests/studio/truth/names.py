"""Ids of what a truth file holds beyond the instants of ``api.domain.names.KeyframeId``.

Checkpoint ids are those of the trade notes; stable, they are stored as text.
"""

from enum import StrEnum


class TruthId(StrEnum):
    """Every checkpoint whose truth is computed."""

    LEAD_ARM_SHAFT_ANGLE = "lead_arm_shaft_angle"
    BUTT_END_INSIDE = "butt_end_inside"
    TRIGGER_SHIFT = "trigger_shift"
    START_ORDER = "start_order"
    SET_BEFORE_TRAIL_LEG = "set_before_trail_leg"
    CLUBHEAD_INSIDE_EARLY = "clubhead_inside_early"
    HANDS_IN_FRONT = "hands_in_front"
    HAND_DEPTH = "hand_depth"
    WRIST_SET_KEPT = "wrist_set_kept"
    PAUSE_LENGTH = "pause_length"
    TEMPO_RATIO = "tempo_ratio"
    SHAFT_PITCH = "shaft_pitch"
    PATH_OUTSIDE = "path_outside"
    SHAFT_AT_TOP = "shaft_at_top"
    HEAD_SWAY = "head_sway"
    PELVIS_SWAY = "pelvis_sway"
    SPINE_TILT = "spine_tilt"
    SPINE_SIDE_TILT = "spine_side_tilt"
    KNEE_FLEX = "knee_flex"
    BALL_POSITION = "ball_position"
    CHEST_TURN = "chest_turn"
    PELVIS_TURN = "pelvis_turn"
    HANDS_OVER_TRAIL_SHOULDER = "hands_over_trail_shoulder"
    FINISH_HOLD = "finish_hold"
    LEAD_ELBOW_BEND = "lead_elbow_bend"


class Moment(StrEnum):
    """Instants that checkpoints need and no keyframe names. The shaft's are on the way back, in space.

    ``settled``: start of the last still stretch, the one that ends in address.
    ``shaft_level_back``: butt end and hosel at equal height, clubhead rising.
    ``shaft_45_back``: the shaft's elevation rises through 45 degrees.
    ``arm_level_seen``: the lead arm is level in the ideal face-on picture going back, which is not when
    it is level in space: the lens stands lower than the shoulders, and the wrist farther from it.
    """

    SETTLED = "settled"
    SHAFT_LEVEL_BACK = "shaft_level_back"
    SHAFT_45_BACK = "shaft_45_back"
    ARM_LEVEL_SEEN = "arm_level_seen"


class Unit(StrEnum):
    """Units of checkpoint truths."""

    DEGREES = "deg"
    GRIPS = "grip"
    SECONDS = "s"
    RATIO = "ratio"
    STANCES = "stance"
    HEADS = "head"
    SHOULDERS = "shoulder"
    STATURES = "stature"
    CLUBS = "club"


class Sight(StrEnum):
    """Who sees: the ideally placed camera, the camera that filmed, or nobody (space itself)."""

    IDEAL = "ideal"
    ACTUAL = "actual"
    SPACE = "space"
