"""Rules about the tremolo: its oscillator, and what of it reaches the output tubes."""
