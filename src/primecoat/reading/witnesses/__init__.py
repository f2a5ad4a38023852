"""One witness a module; ``testify(record, use, policy)`` returns its evidence."""
