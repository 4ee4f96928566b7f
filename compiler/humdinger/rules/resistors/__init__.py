"""Rules about resistors."""
