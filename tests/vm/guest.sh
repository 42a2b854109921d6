#!/bin/bash
# Inside the VM, as its root: make the machine ready, then become the command.
# Usage: guest.sh CHECKOUT PYTHON_ENVIRONMENT RESULTS COMMAND...
set -u

checkout=$1
environment=$2
export REMAPD_VM_RESULTS=$3
shift 3

fail() {
    echo "vm: $*" >&2
    exit 125
}

# The kernel writes its own messages to the same console: keep only what is an emergency.
dmesg --console-level emerg 2>/dev/null

modprobe --all uinput evdev joydev uhid || fail "the kernel has no modules uinput, evdev, joydev, uhid"
ip link set lo up || fail "the loopback interface does not come up"

# Permissions and groups of event nodes are set by udev; a test of them needs it alive.
udevadm control --ping --timeout=30 2>/dev/null || fail "udev does not answer"
udevadm settle --timeout=30

# The host's home may be read-only here; nothing written now shall outlive the VM anyway.
export HOME=/tmp/home XDG_RUNTIME_DIR=/tmp/run
mkdir -p "$HOME" "$XDG_RUNTIME_DIR" && chmod 700 "$XDG_RUNTIME_DIR"
unset XDG_CACHE_HOME XDG_CONFIG_HOME XDG_STATE_HOME XDG_DATA_HOME

export PATH=$environment/bin:/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin
export PYTHONPATH=$checkout LANG=C.UTF-8 REMAPD_KERNEL_TESTS=required

cd "$checkout" || fail "the checkout $checkout is not visible in the VM"
echo "vm: Linux $(uname -r), ready after $(cut -d' ' -f1 /proc/uptime) s" | tee "$REMAPD_VM_RESULTS/ready"
exec "$@"
