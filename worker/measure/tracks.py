"""Points of every looked-at frame, for the page and for recomputing a moved keyframe."""

from api.domain.names import PointName

SCHEMA = "fairlead.tracks/1"

Tracks = dict[int, dict[PointName, tuple[float, float, float]]]
"""Frame -> point -> (x, y, one sigma each axis), upright display pixels of the original."""


def tracks_to_json(tracks: Tracks) -> dict[str, object]:
    """Plain JSON values; pixels rounded to hundredths."""
    frames = {
        str(frame): {
            name.value: [round(part, 2) for part in values] for name, values in points.items()
        }
        for frame, points in sorted(tracks.items())
    }
    return {"schema": SCHEMA, "frames": frames}
