"""`python -m locksweep`."""

from locksweep.cli import command

command()
