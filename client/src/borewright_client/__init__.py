"""A thin Python client for the Borewright engine-building service."""
