"""The build sheet: every section one build allows, on one page a shop can staple to the work order."""
