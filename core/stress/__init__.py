"""What a temperature history leaves in the piece: heat, structure and stress through the wall."""
