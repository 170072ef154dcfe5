"""The geometry: measurements in, dimensions out. Plain numbers and NumPy arrays, no CAD, no drawing.

`solver.front_end` assembles a measured car with its changes, `solver.solution` answers a job.
"""
