"""One cell per stage kind, in a file of the stage's name: `draw(pen, stage)` records the stage into the pen's block."""
