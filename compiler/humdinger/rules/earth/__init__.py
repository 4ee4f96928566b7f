"""Rules about protective earth and the bond of the circuit to it."""
