"""What each address of the desk gives; addresses are relative to the page's own."""
