"""The terminal: parse, call one function of ``workflow``, show."""
