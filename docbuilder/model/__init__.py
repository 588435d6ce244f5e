"""What was prescribed, what the unit can do, what was computed: plain frozen values."""
