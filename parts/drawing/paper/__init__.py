"""Putting it down: lines, lettering, symbols and dimensions, into a PDF and a DXF file at once."""
