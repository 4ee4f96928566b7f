"""Stage kinds, one file each: elaboration, defaults with their origin, and a docstring a builder would want to read."""
