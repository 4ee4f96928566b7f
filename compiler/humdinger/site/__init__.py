"""Site: the manual model as static files, and their publication. Knows no electronics."""

from .publish import PublishError, publish
from .render import render

__all__ = ["PublishError", "publish", "render"]
