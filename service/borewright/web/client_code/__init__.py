"""The generated modules of the Python client."""
