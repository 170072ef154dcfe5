"""The body round the wheels: scans read from files, and what comes of them written into files."""
