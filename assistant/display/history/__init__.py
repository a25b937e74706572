"""What all jobs of a journal tell together: vehicles, services, findings over time, parts, fluids, waste."""
