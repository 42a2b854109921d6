"""The talk of a fitting: questions and what is said, as pure state; no device, no terminal."""
