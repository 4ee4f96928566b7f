"""Schematics as svg, drawn from the netlist. Nothing is imported here: the door is `schematic.schematic`, which imports schemdraw late."""
