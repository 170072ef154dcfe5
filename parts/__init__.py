"""Dimensions in, one solid out: a file per part family, the gate each solid must pass, and the writers."""
