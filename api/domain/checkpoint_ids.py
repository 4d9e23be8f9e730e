"""Ids of checkpoints. Stable: stored and sent as text.

Apart from ``api.domain.names``: rendered clips depend on views and instants, not on what is read of
them, so a new checkpoint films nothing again.
"""

from enum import StrEnum


class CheckpointId(StrEnum):
    """Readings, in the order in which they are shown. A new one is a member plus its definition."""

    LEAD_ARM_SHAFT_ANGLE = "lead_arm_shaft_angle"
    BUTT_END_INSIDE = "butt_end_inside"
    SET_BEFORE_TRAIL_LEG = "set_before_trail_leg"
    LEAD_ARM_SHAFT_ANGLE_AT_TOP = "lead_arm_shaft_angle_at_top"
    WRIST_SET_KEPT = "wrist_set_kept"
    START_ORDER = "start_order"
    TRIGGER_SHIFT = "trigger_shift"
    CHEST_TURN_AT_PARALLEL = "chest_turn_at_parallel"
    CHEST_TURN = "chest_turn"
    PELVIS_TURN_AT_PARALLEL = "pelvis_turn_at_parallel"
    PELVIS_TURN = "pelvis_turn"
    PELVIS_SWAY = "pelvis_sway"
    HEAD_SWAY = "head_sway"
    LEAD_ELBOW_BEND = "lead_elbow_bend"
    LEAD_ELBOW_BEND_AT_TOP = "lead_elbow_bend_at_top"
    SPINE_SIDE_TILT_AT_ADDRESS = "spine_side_tilt_at_address"
    SPINE_SIDE_TILT = "spine_side_tilt"
    SPINE_SIDE_TILT_AT_IMPACT = "spine_side_tilt_at_impact"
    BALL_POSITION = "ball_position"
    HANDS_OVER_TRAIL_SHOULDER = "hands_over_trail_shoulder"
    SHAFT_PITCH_AT_ADDRESS = "shaft_pitch_at_address"
    SHAFT_PITCH = "shaft_pitch"
    SHAFT_PITCH_COMING_DOWN = "shaft_pitch_coming_down"
    SHAFT_PITCH_AT_DELIVERY = "shaft_pitch_at_delivery"
    CLUBHEAD_INSIDE_EARLY = "clubhead_inside_early"
    HAND_DEPTH = "hand_depth"
    HAND_DEPTH_AT_TOP = "hand_depth_at_top"
    HANDS_IN_FRONT = "hands_in_front"
    PATH_OUTSIDE = "path_outside"
    SHAFT_AT_TOP = "shaft_at_top"
    SPINE_TILT = "spine_tilt"
    SPINE_TILT_CHANGE_AT_PARALLEL = "spine_tilt_change_at_parallel"
    SPINE_TILT_CHANGE_AT_TOP = "spine_tilt_change_at_top"
    SPINE_TILT_CHANGE_AT_IMPACT = "spine_tilt_change_at_impact"
    KNEE_FLEX = "knee_flex"
    TEMPO_RATIO = "tempo_ratio"
    PAUSE_LENGTH = "pause_length"
    FINISH_HOLD = "finish_hold"
