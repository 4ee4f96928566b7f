"""Rules about jacks and what can be touched through them."""
