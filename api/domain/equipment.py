"""Sizes of golf equipment.

Equipment Rules (R&A and USGA): ball not less than 1.680 in across (42.67 mm), Part 4; club at least
18 in (0.457 m) and, putters apart, at most 48 in (1.219 m) long, Part 2.
"""

INCH_M = 0.0254
BALL_DIAMETER_M = 0.04267
SHORTEST_CLUB_M = 18 * INCH_M
LONGEST_CLUB_M = 48 * INCH_M

GRIP_LENGTH_M = 0.267
"""Length of the rubber grip, about 10.5 in. Common practice, no published source."""
