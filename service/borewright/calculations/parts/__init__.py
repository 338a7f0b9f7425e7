"""Pieces of requests that several calculations share."""
