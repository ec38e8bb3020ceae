"""What the reference computations share. Nothing here reads anything that the engine computed."""
