"""The OpenAPI document and the files made from it."""
