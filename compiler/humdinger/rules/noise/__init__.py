"""Rules about hum and noise."""
