"""Parts: the library of tubes, diodes and regions as data with a source tag per number; no equations."""
