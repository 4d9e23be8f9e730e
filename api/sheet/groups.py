"""The plain groups that numbers beside the main ones are shown in. Twin of ``web/src/answer/groups.ts``."""

from collections.abc import Mapping
from types import MappingProxyType

GROUPS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "Start": ("start_order", "trigger_shift"),
        "Wrists": ("set_before_trail_leg", "lead_arm_shaft_angle_at_top", "wrist_set_kept"),
        "Body": (
            "chest_turn_at_parallel",
            "chest_turn",
            "pelvis_turn_at_parallel",
            "pelvis_turn",
            "pelvis_sway",
            "head_sway",
            "lead_elbow_bend",
            "lead_elbow_bend_at_top",
            "spine_side_tilt_at_address",
            "spine_side_tilt",
            "spine_side_tilt_at_impact",
            "spine_tilt",
            "spine_tilt_change_at_parallel",
            "spine_tilt_change_at_top",
            "spine_tilt_change_at_impact",
            "knee_flex",
            "ball_position",
        ),
        "Shaft and hands": (
            "shaft_pitch_at_address",
            "shaft_pitch",
            "shaft_pitch_coming_down",
            "shaft_pitch_at_delivery",
            "clubhead_inside_early",
            "hands_over_trail_shoulder",
            "hand_depth",
            "hand_depth_at_top",
            "hands_in_front",
            "path_outside",
            "shaft_at_top",
        ),
        "Time": ("tempo_ratio", "pause_length", "finish_hold"),
    }
)
OTHERS = "Others"
"""Where numbers go that no group names."""

PLACE: Mapping[str, int] = MappingProxyType(
    {one: place for place, one in enumerate(one for ids in GROUPS.values() for one in ids)}
)
"""By number, its place among all."""


def group_of(one: str) -> str:
    """The name of the group that a number belongs to."""
    return next((name for name, ids in GROUPS.items() if one in ids), OTHERS)
