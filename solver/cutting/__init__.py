"""Whether flat parts can be cut: what each process can do, and the least widths of an outline of lines and arcs."""
