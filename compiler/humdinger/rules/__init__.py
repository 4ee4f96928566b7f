"""Rules: every judgement about a design, one rule per file, grouped in folders by area. They compare and never calculate."""
