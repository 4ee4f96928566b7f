"""Rules about rectifiers."""
