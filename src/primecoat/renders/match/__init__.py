"""Match a look: the few numbers that make a new render look as the old one did."""
