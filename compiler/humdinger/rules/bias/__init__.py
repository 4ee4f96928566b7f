"""Rules about the bias of the output tubes."""
