"""Truth of one film: instants and checkpoints of every swing, computed from space.

Nothing here comes from the product's own geometry: numpy and the ids only, so that a test can hold
both to the same cases. Which sight's number is a checkpoint's value by definition (``defined``): the
ideal camera's, but space for times and for what the trade notes define on the ground.

Where the trade notes leave a choice about a checkpoint:

- The ideal camera is of the clip's own view. What that view cannot show has a reason, and its number
  in space where that means something.
- ``lead_arm_parallel`` is an instant of space, the same for every camera. The notes measure it "directly"
  in a face-on picture; the moment that the ideal picture gives is ``arm_level_seen``, and
  ``lead_arm_shaft_angle`` is there for it too, so that a report can tell how far the two are apart.
- ``trigger_shift`` runs from where the pelvis was at rest (half a second before address) until
  takeaway: from address itself it would be nothing by definition wherever the hands stay still while
  the body shifts. Away from the target is positive; both sways are positive to the target.
- ``hand_depth`` is measured from the trail foot's toe, in shoulder widths of space at address, since
  down the line the shoulder line points at the lens; the club at address gives the picture's scale.
- ``hands_over_trail_shoulder`` is read when the shaft rises through 45 degrees.
- ``head_sway``: a head height is 0.130 of stature.
- ``pause_length`` counts after the hands first had half of their peak speed going back.
"""

from dataclasses import dataclass

import numpy as np

from api.domain.names import KeyframeId, View
from tests.studio.truth.body_recipes import BODY_RECIPES
from tests.studio.truth.club_recipes import CLUB_RECIPES, arm_elevation_seen
from tests.studio.truth.instants import LEVEL_DEG, NEVER_LEVEL, all_swings
from tests.studio.truth.names import Moment
from tests.studio.truth.posture_recipes import POSTURE_RECIPES
from tests.studio.truth.recipes import CheckpointTruth
from tests.studio.truth.rhythm import rhythm_truths
from tests.studio.truth.roots import crossing, rises
from tests.studio.truth.sights import Look, Scene
from tests.studio.truth.when import Absent, Instants, When, at_once, times_of

RECIPES = (*CLUB_RECIPES, *BODY_RECIPES, *POSTURE_RECIPES)


@dataclass(frozen=True, slots=True)
class SwingFound:
    """One swing: its instants in life seconds, and its checkpoints."""

    instants: Instants
    checkpoints: tuple[CheckpointTruth, ...]


def swings_of(scene: Scene) -> tuple[SwingFound, ...]:
    """Every swing of a film, in order; none where there is none."""
    found = []
    for instants in all_swings(scene.track):
        both = {**instants, Moment.ARM_LEVEL_SEEN: arm_level_seen(scene, instants)}
        found.append(SwingFound(both, checkpoints_of(scene, both)))
    return tuple(found)


def arm_level_seen(scene: Scene, instants: Instants) -> When:
    """When the ideal face-on picture first shows the lead arm level, between leg and top."""
    if scene.view is not View.FACE_ON:
        return Absent("not to be seen down the line")
    times = times_of(instants, (KeyframeId.HANDS_PAST_TRAIL_LEG, KeyframeId.TOP))
    if isinstance(times, Absent):
        return times
    look = Look(scene, scene.ideal)

    def level(time_s: float) -> float:
        return arm_elevation_seen(look(time_s)) + LEVEL_DEG

    first, last = (scene.track.index(one) for one in times)
    samples = scene.track.times[first : last + 2]
    found = rises(np.array([level(float(one)) for one in samples]))
    if not found:
        return Absent(NEVER_LEVEL)
    return at_once(crossing(level, float(samples[found[0]]), float(samples[found[0] + 1])))


def checkpoints_of(scene: Scene, instants: Instants) -> tuple[CheckpointTruth, ...]:
    """Every checkpoint of one swing, each with its numbers or the reasons why there are none."""
    table = [recipe.truth(scene, instants) for recipe in RECIPES]
    return (*table, *rhythm_truths(scene, instants))
