"""The furnace through the night: heat, charges, melting, fining, and what it costs."""
