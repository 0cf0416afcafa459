"""What chips can do: pin by pin, from tables made of the vendors' own data."""
