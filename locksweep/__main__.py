"""`python -m locksweep`."""

from locksweep.cli import main

main()
