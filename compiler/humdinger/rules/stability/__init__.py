"""Rules about stability through the supply."""
