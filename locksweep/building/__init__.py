"""A build: from a job file to one folder with all of its files, whole or not at all."""

from locksweep.building.pipeline import BuildResult, build_job

__all__ = ["BuildResult", "build_job"]
