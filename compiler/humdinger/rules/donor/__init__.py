"""Rules about what the donor brings along."""
