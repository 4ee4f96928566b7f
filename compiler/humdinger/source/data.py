"""The folders of data that travel with the package: schemas and templates."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent.parent


def data_folder(name: str) -> Path:
    """Find "schemas" or "templates": in the package (a wheel) first, beside compiler/ (a checkout, an editable install) second.

    FileNotFoundError when neither is there: then the installation is broken, which is no fault of the user's spec.
    """
    for folder in (_PACKAGE / name, _PACKAGE.parent.parent / name):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"the data folder {name} is neither in {_PACKAGE} nor beside {_PACKAGE.parent}")


def read_data(name: str, file: str) -> str:
    """The text of one file in a data folder; `file` may have folders in it."""
    return (data_folder(name) / file).read_text(encoding="utf-8")
