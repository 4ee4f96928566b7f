"""Rules about the output transformer, its load and the feedback around it."""
