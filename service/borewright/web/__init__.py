"""HTTP: the app factory, routes from the registry, strict JSON, problems, limits, the OpenAPI document."""
