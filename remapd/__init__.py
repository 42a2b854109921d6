"""remapd: many small controls in, one ordinary gamepad out.

One press travels in a straight line. `kernel` reads a frame of raw events from a source device,
with the kernel's monotonic time stamp. `daemon` hands it to `engine`, which knows the layout and
answers with output frames; `kernel` writes each of them to the one virtual gamepad. The layout was
read, checked and built beforehand by `language`. `recording` plays stored sessions through the same
engine on virtual time; `analysis` proves and measures; `show` draws; `cli` is the way in.
"""

__version__ = "0.1.0"
