"""Rules about the phase inverter."""
