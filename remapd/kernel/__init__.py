"""The only code that opens /dev: evdev sources, the uinput gamepad, hotplug."""
