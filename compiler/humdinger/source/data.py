"""The folders of data that travel with the package: schemas and templates."""

from __future__ import annotations

import os

PACKAGE = os.path.dirname(os.path.dirname(os.path.realpath(__file__)))


def data_folder(name: str) -> str:
    """Find "schemas" or "templates": in the package (a wheel) first, beside compiler/ (a checkout, an editable install) second.

    FileNotFoundError when neither is there: then the installation is broken, which is no fault of the user's spec.
    """
    beside = os.path.dirname(os.path.dirname(PACKAGE))
    for folder in (os.path.join(PACKAGE, name), os.path.join(beside, name)):
        if os.path.isdir(folder):
            return folder
    raise FileNotFoundError(f"the data folder {name} is neither in {PACKAGE} nor in {beside}")


def read_data(name: str, file: str) -> str:
    """The text of one file in a data folder; `file` may have folders in it."""
    with open(os.path.join(data_folder(name), file), encoding="utf-8") as text:
        return text.read()
