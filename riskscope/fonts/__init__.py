"""The fonts of pages and pictures, carried along so that they look the same on every machine."""

from __future__ import annotations

from pathlib import Path

FONTS = Path(__file__).parent
