"""Rules about capacitors."""
