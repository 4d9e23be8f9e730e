"""Line drawings of every drill, made from the studio's own golfer: ``web/src/drills``."""
