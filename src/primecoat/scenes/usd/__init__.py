"""What reading and changing an OpenUSD stage needs; the format itself is ``formats/usd.py``."""
