"""What is told of each request: logs, metrics, traces."""
