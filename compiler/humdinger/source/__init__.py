"""Source: the World (files, date, version) and YAML read into trees that remember where everything stood."""

from .cache import Cached, DiskCache, uncached
from .data import data_folder, read_data
from .faults import SOURCE_CODES
from .load import Included, Source, load, load_with_texts
from .tree import Entry, Mapping, Node, Scalar, Sequence
from .world import DiskWorld, MemoryWorld, World

__all__ = [
    "SOURCE_CODES",
    "Cached",
    "DiskCache",
    "DiskWorld",
    "Entry",
    "Included",
    "Mapping",
    "MemoryWorld",
    "Node",
    "Scalar",
    "Sequence",
    "Source",
    "World",
    "data_folder",
    "load",
    "load_with_texts",
    "read_data",
    "uncached",
]
