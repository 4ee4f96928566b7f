"""Rules about wires and their colours."""
