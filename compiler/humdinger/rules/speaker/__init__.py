"""Rules about the speaker."""
