"""One module a command, loaded when the command is called: so each starts with what it needs and no more.

A module holds ``run``, whose docstring is the command's help, and ``EXAMPLE``, a call that its help ends with. What a
command works with is imported inside of ``run``, so that help is there at once. `locksweep.cli.COMMANDS` lists the
modules in the order of the work.
"""
