"""The terminal: parse, call one function of ``workflow``, show.

At the top of a module stands what the options of its verbs need, and what a verb does is imported
inside its function: help and completion, which a shell asks for at each press of Tab, load neither.
"""
