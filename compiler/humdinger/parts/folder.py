"""The folder of the library's data as a Path, for those who list it; `library` reads single files and does without pathlib."""

from __future__ import annotations

from pathlib import Path

DATA = Path(__file__).parent / "data"
