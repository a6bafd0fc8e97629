"""Every picture that pages draw: float strip, workload, holding area, build sheets."""
