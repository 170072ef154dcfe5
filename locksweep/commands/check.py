"""Validate a job file."""

from __future__ import annotations

from locksweep.commands.arguments import JobFile

EXAMPLE = "locksweep check my-car.toml"


def run(job: JobFile) -> None:
    """Validate a job file and report what looks mis-measured."""
    from locksweep.console import say
    from locksweep.job import parse_job
    from locksweep.job.source import read_text
    from locksweep.job.starter import example_values
    from solver.plausibility import suspicions

    text = read_text(job)
    parsed = parse_job(text, str(job))
    found = suspicions(parsed)
    for item in found:
        say(f"looks mis-measured: {item.what}: {item.found}; expected {item.expected}. {item.advice}")
    examples = example_values(text)
    if examples:
        say(f"{len(examples)} values still are the starter's own. Measure them on your car:")
        for value in examples:
            say(f"  line {value.line}: {value.key} = {value.value}")
    if not found and not examples:
        say(f"{job}: every key is in order and nothing looks mis-measured.")
    elif not found:
        say(f"{job}: every key is in order; nothing else looks mis-measured.")
    else:
        say(f"{job}: every key is in order; {len(found)} to measure again.")
