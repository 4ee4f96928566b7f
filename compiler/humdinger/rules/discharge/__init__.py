"""Rules about discharge and stored energy."""
