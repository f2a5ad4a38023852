"""The JSON schemas of all documents, written once in a short notation."""
