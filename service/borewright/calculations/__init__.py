"""The calculations: one file each. `base` carries them, `parts` are the request pieces they share."""
