"""Rules about tube ratings."""
