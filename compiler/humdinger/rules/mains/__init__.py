"""Rules about the mains side: fuse, switch, cord, isolation."""
