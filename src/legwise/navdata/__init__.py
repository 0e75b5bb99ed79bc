"""Coded navigation data: files of ARINC 424 records and lists of fixes, to be asked as the model's ``NavData``."""

from legwise.navdata.combining import combined
from legwise.navdata.cycles import cycle_dates, cycle_note, cycle_on
from legwise.navdata.fix_list import read_fix_list
from legwise.navdata.opening import open_navdata

__all__ = ["combined", "cycle_dates", "cycle_note", "cycle_on", "open_navdata", "read_fix_list"]
