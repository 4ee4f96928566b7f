"""Rules about labels."""
