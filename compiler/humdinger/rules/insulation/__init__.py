"""Rules about distances between mains, high tension and metal."""
