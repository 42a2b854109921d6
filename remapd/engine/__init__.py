"""What a layout means: a pure state machine that is told the time and never asks it."""
