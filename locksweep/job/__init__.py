"""Job files: one car, one tyre, one goal, as TOML; quantities as people say them."""

from locksweep.job.findings import Finding, JobFindingsError
from locksweep.job.load import load_job, parse_job

__all__ = ["Finding", "JobFindingsError", "load_job", "parse_job"]
