"""The server that runs the app."""
