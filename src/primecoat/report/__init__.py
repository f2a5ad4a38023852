"""What primecoat knows, shown: JSON documents, terminal tables, one HTML page, settings sheet."""
