"""Where calculations run: light ones where they are asked, all others in processes that can be stopped."""
