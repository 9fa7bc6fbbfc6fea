"""The commands, one module each: ``add(subparsers)`` declares the arguments, ``run(arguments)`` acts.

To add one, write the module and name it in ``leadsman.cli.COMMANDS``.
"""
