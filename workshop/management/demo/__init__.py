"""An invented workshop, lived through in a minute by the real actions."""
