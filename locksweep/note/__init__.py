"""The caution note as sheets to print, and its pictures of the load paths."""
