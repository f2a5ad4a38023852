"""What would be changed, as data: operations with a reverse, and what is held back and why."""
