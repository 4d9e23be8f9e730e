"""What the studio and the independent renderer mean by their truths, and where they disagree.

Every line was found by ``tests.studio.truth.strangers`` and ``tests.studio.truth.centres``. Where the
strangers' clips lie beside the repository, ``tests/studio/truth/test_strangers.py`` holds the angle, the
joint centres, the hands past the trail leg, the left-hander's pixels and their estimate of the butt end,
and ``tests/accuracy/test_strangers.py`` the length of their grip and the stay of their pause. The numbers
of takeaway, finish, top, the club's length and the grid of times were worked out once, by hand; no test holds them.
"""

from tests.accuracy.content import Convention

CONVENTIONS = (
    Convention(
        "Lead arm to shaft angle",
        "wrist to shoulder against butt end to hosel, in the picture",
        "the same",
        "none; 0.2 degrees when worked out again from their points",
        "Their points are given frame by frame, the angle at the instant between two.",
    ),
    Convention(
        "Joint centres",
        "heads of the rig's bones",
        "the same bones of the same three bodies",
        "bone lengths agree to 1.5 % up to one common scale",
        "Both renderers clothe the same free bodies, so a network's idea of a shoulder is off alike in "
        "both. This cannot show what a different idea of a shoulder would do.",
    ),
    Convention(
        "Where the grip end points",
        "over a grip of 0.267 m",
        "over a grip of 0.265 m",
        "theirs reads 0.75 % larger: 0.02 grips at 3",
        "The same spot on the ground. The report divides their metres by their own grip.",
    ),
    Convention(
        "Club length",
        "butt end to sole",
        "butt end to hosel",
        "35 mm, 3.5 % of the length a student states",
        "The scale at the ball leans on the stated length, so where the grip end points scales with it.",
    ),
    Convention(
        "Address",
        "end of the last still stretch",
        "not given",
        "cannot be scored",
        "Their golfers sway at 2 to 6 cm/s before the start, about or above the threshold of stillness.",
    ),
    Convention(
        "Takeaway",
        "hand or clubhead speed passes the threshold for good",
        "time of the key pose from which the motion starts",
        "theirs some 5 ms early",
        "Speed grows from nothing; it passes the threshold a little after the pose.",
    ),
    Convention(
        "Finish",
        "hands come to rest for 0.3 s",
        "time of a key pose",
        "cannot be scored",
        "By our rule of rest, applied to their wrists, none of their ten golfers comes to rest: they sway at 0.03 "
        "to 0.13 torso lengths a second, where 0.05 is the limit.",
    ),
    Convention(
        "Lead arm parallel down, impact, tempo",
        "the arm level in space; the face where the ball lay; from the three instants",
        "the same words",
        "no difference was looked for",
        "What their instants are a little off in would show as our error.",
    ),
    Convention(
        "Hands past the trail leg",
        "in space, as seen along the target line's normal",
        "in space too",
        "none; in the picture the crossing comes 9 to 32 ms earlier",
        "The hands are nearer to the lens than the leg. What a face-on picture shows, and the pipeline "
        "finds, is early by that much against both truths.",
    ),
    Convention(
        "Lead arm parallel",
        "shoulder and wrist equally high; a stop there counts as parallel throughout",
        "the moment the arm arrives",
        "0 ms without a stop; up to the stop's 1.6 s with one",
        "Their paused clip is scored with the stop as a stay, as the studio's are.",
    ),
    Convention(
        "Top",
        "largest elevation of the lead arm in space, or the middle of a stop",
        "within 5 ms of the largest elevation in the picture",
        "about 5 ms",
        "Space and picture turn at slightly different times.",
    ),
    Convention(
        "Handedness and pixels",
        "a left-hander's film is the mirror image, x to width less 1 less x",
        "the same",
        "0.01 px on the ball",
        "The first pixel's centre is 0, 0 in both.",
    ),
    Convention(
        "Grid of times",
        "exact",
        "whole milliseconds",
        "0.5 ms at most",
        "Far below any tolerance here.",
    ),
)
