"""A checkpoint's recipe: what it needs, how a picture shows it and what it is in space; and its truth.

One recipe gives one ``CheckpointTruth`` a swing. A number that cannot be had carries its reason.
"""

from collections.abc import Callable
from dataclasses import dataclass

from api.domain.names import View
from tests.studio.truth.names import Sight, TruthId, Unit
from tests.studio.truth.sights import Camera, Look, Scene
from tests.studio.truth.when import Absent, Instants, Key, Times, times_of

Quantity = float | Absent

FACE_ON = frozenset({View.FACE_ON})
DOWN_THE_LINE = frozenset({View.DOWN_THE_LINE})

_VIEW_WORDS = {View.FACE_ON: "face-on", View.DOWN_THE_LINE: "down the line"}


@dataclass(frozen=True, slots=True)
class CheckpointTruth:
    """One checkpoint of one swing. ``at``: id of its instant, empty where it spans several.

    ``part``: which of several numbers of this checkpoint, empty for the main one. ``defined``:
    the sight whose number is the checkpoint's value by definition. Signs are in the formulas' docs.
    """

    id: TruthId
    at: str
    part: str
    unit: Unit
    defined: Sight
    ideal: Quantity
    actual: Quantity
    space: Quantity

    @property
    def value(self) -> Quantity:
        """The number that a reading of this checkpoint should come to."""
        sights = {Sight.IDEAL: self.ideal, Sight.ACTUAL: self.actual, Sight.SPACE: self.space}
        return sights[self.defined]


@dataclass(frozen=True, slots=True)
class Recipe:
    """``needs``: instants of the number in space; ``also``: more of them for a picture.

    ``views``: where a picture shows it; ``picture`` and ``space`` get the times of ``needs`` (and
    of ``also``). An ``Absent`` in their place is the reason why there is no such number.
    """

    id: TruthId
    unit: Unit
    needs: tuple[Key, ...]
    picture: Callable[[Look, Times], Quantity] | Absent
    space: Callable[[Scene, Times], Quantity] | Absent
    views: frozenset[View]
    at: Key | None = None
    part: str = ""
    defined: Sight = Sight.IDEAL
    also: tuple[Key, ...] = ()

    def truth(self, scene: Scene, instants: Instants) -> CheckpointTruth:
        """The three numbers for one swing."""
        return CheckpointTruth(
            id=self.id,
            at="" if self.at is None else self.at.value,
            part=self.part,
            unit=self.unit,
            defined=self.defined,
            ideal=self._seen(scene, instants, scene.ideal),
            actual=self._seen(scene, instants, scene.actual),
            space=self._in_space(scene, instants),
        )

    def _in_space(self, scene: Scene, instants: Instants) -> Quantity:
        times = times_of(instants, self.needs)
        if isinstance(times, Absent):
            return times
        return self.space if isinstance(self.space, Absent) else self.space(scene, times)

    def _seen(self, scene: Scene, instants: Instants, camera: Camera) -> Quantity:
        times = times_of(instants, (*self.needs, *self.also))
        if isinstance(times, Absent):
            return times
        if scene.view not in self.views:
            return Absent(f"not to be seen {_VIEW_WORDS[scene.view]}")
        if isinstance(self.picture, Absent):
            return self.picture
        return self.picture(Look(scene, camera), times)
