"""Rules about gain and response."""
