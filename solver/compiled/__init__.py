"""Compiled forms of what is asked for millions of times: poses of corners, gaps to bars, whole sweeps.

Every form has its NumPy counterpart, which is the reference in the tests and what is used where no compiler is to be
had. The modules here but for `solver.compiled.poses` import the compiler, which takes a quarter of a second, and so
are imported inside of the functions that need them. Compiling takes some seconds, once for each version of the code
on each machine; after that the result is read from the user's cache.
"""
