"""Between what a time-lag fuse has to bear and what it has to open at (IEC 60127 time-lag gates, from memory), in times its rating."""

BEARS = 1.5
"""For an hour."""
OPENS = 2.1
"""Within 2 minutes, one of high breaking capacity within 30."""
SOON = 2.75
"""Within 10 s, one of high breaking capacity within 80 s."""
