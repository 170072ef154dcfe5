"""Sheets for the shop, PDF and DXF of the same drawing.

From a solid to its sheet: `families` say what is drawn of a part, `views` what is seen of it, `layout` where it goes,
`paper` how it is put down; `sheet` brings them together with title block and notes.
"""
