"""Writes Larkmoor County, which does not exist: its bridges, lettings, prices, letters and program."""
