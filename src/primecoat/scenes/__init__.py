"""Scene files in, :class:`~primecoat.scenes.model.Scene` out; and the smallest edit back."""
