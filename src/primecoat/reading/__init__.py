"""How every image must be read: witnesses testify, the evidence is weighed, a standing results."""
