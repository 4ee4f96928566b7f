"""Rules about the B+ supply and the power transformer."""
