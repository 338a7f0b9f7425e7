"""What is put together: fits of the rotating assembly, valves, balance."""
