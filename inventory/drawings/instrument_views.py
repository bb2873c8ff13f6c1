"""The three invented pictures of an instrument: its front, its console, its opened toeboard."""

from inventory.drawings.console_pictures import draw_console
from inventory.drawings.facade_pictures import STYLES, draw_facade
from inventory.drawings.pictures import RegionBox
from inventory.drawings.toeboard_pictures import draw_open_toeboard

__all__ = ["STYLES", "RegionBox", "draw_console", "draw_facade", "draw_open_toeboard"]
