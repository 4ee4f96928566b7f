"""Rules about heaters."""
