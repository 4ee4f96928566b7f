"""A fixed text for measuring: fifteen pages, each with a table of sixty rows. Nobody reads it."""

project = "Marsh bench book"
author = "Saltmarsh Amp Works"
extensions: list[str] = []
