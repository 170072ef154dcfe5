"""The body round the wheels: what the swept tyre comes near, how near, and what would have to be cut.

Points are in mm and car axes. Nothing here reads or writes files: `locksweep.body` does.
"""
