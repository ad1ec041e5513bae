"""What a glass does: viscosity and fixed points, thermal, elastic and optical properties."""
